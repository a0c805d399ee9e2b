"""What every command needs: arguments, environment, clock; each made only when asked for."""

from __future__ import annotations

import datetime
import os
import threading
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.conversation.conversation import Conversation
    from diagnose.knowledge.loader import Knowledge
    from diagnose.reasoning.reasoner import Reasoner
    from diagnose.shop.settings import Shop


@dataclass(frozen=True)
class Context:
    """Options that hold for all commands."""

    knowledge_option: str | None = None
    cases_option: str | None = None
    person: str = ""
    _making: threading.RLock = field(default_factory=threading.RLock, compare=False)

    @cached_property
    def home(self) -> Path:
        """The shop's own folder."""
        from diagnose.shop.home import home

        return home(os.environ)

    @cached_property
    def knowledge(self) -> Knowledge:
        """Cards that passed all checks."""
        from diagnose.knowledge.root import knowledge_root, load_cached

        return load_cached(knowledge_root(self.knowledge_option), self.home / "cache")

    @cached_property
    def reasoner(self) -> Reasoner:
        """The knowledge made ready for judging jobs."""
        from diagnose.reasoning.reasoner import Reasoner
        from diagnose.shop.learned_versions import learned_rates, learned_strengths

        return Reasoner(
            self.knowledge,
            rates=learned_rates(self.home, self.knowledge),
            strengths=learned_strengths(self.home, self.knowledge),
            money=self.shop.economics(self.knowledge),
            shop_has=self.shop.equipment,
            stages=self.shop.able(self.knowledge),
            cache=self.home / "cache",
        )

    @property
    def priors(self) -> str:
        """Which version of what was learned is in force; empty: the cards alone."""
        from diagnose.shop.learned_versions import in_force

        found = in_force(self.home)
        return f"learned {found[0]}" if found else ""

    @cached_property
    def shop(self) -> Shop:
        """The shop's settings; the defaults where it has no file."""
        from diagnose.shop.settings import read_shop

        return read_shop(self.home, self.knowledge)

    @cached_property
    def conversation(self) -> Conversation:
        """Prompts and replies over the reasoner; made once, also when asked for by two threads."""
        with self._making:
            from diagnose.conversation.conversation import Conversation

            reasoner = self.reasoner
            reasoner.recogniser  # noqa: B018 - ready before the first words are read
            return Conversation(reasoner, self.shop.roles, self.shop.house(self.knowledge))

    @property
    def job_file(self) -> Path:
        """The shop's own job file."""
        from diagnose.records.places import JOB_FILE

        return self.home / JOB_FILE

    def clock(self) -> str:
        """Local time with its offset, to the second."""
        return datetime.datetime.now().astimezone().isoformat(timespec="seconds")
