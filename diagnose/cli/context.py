"""What every command needs: arguments, environment, clock; each made only when asked for."""

from __future__ import annotations

import datetime
import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.knowledge.loader import Knowledge
    from diagnose.session.reasoner import Reasoner

__all__ = ["Context"]


@dataclass(frozen=True)
class Context:
    """Options that hold for all commands."""

    knowledge_option: str | None = None
    cases_option: str | None = None
    person: str = ""

    @cached_property
    def home(self) -> Path:
        """The shop's own folder (created on demand by whoever writes there)."""
        from diagnose.records.home import home

        return home(os.environ)

    @cached_property
    def knowledge(self) -> Knowledge:
        """Cards that passed all checks."""
        from diagnose.knowledge.root import knowledge_root, load_cached

        return load_cached(knowledge_root(self.knowledge_option), self.home / "cache")

    @cached_property
    def reasoner(self) -> Reasoner:
        """The knowledge made ready for judging jobs."""
        from diagnose.session.reasoner import Reasoner

        return Reasoner(self.knowledge)

    def clock(self) -> str:
        """Local time with its offset, to the second."""
        return datetime.datetime.now().astimezone().isoformat(timespec="seconds")
