"""What every command needs: arguments, environment, clock; each made only when asked for."""

from __future__ import annotations

import datetime
import os
import threading
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from diagnose.conversation.conversation import Conversation
    from diagnose.knowledge.loader import Knowledge
    from diagnose.reasoning.reasoner import Reasoner
    from diagnose.shop.settings import Shop


@dataclass(frozen=True)
class Context:
    """Options that hold for all commands.

    ``job``: the job that the command is about: its name, or a job file. ``job_is_file``: it is
    never a name. ``store_option``: where it lies, if not in the shop's own file.
    """

    knowledge_option: str | None = None
    cases_option: str | None = None
    person: str = ""
    pack_option: str | None = None
    job: str | None = None
    job_is_file: bool = False
    store_option: str | None = None
    _making: threading.RLock = field(default_factory=threading.RLock, compare=False)

    @cached_property
    def home(self) -> Path:
        """The shop's own folder."""
        from diagnose.shop.home import home

        return home(os.environ)

    @cached_property
    def job_data(self) -> dict[str, Any]:
        """What the job file says, read once: standard input cannot be read again."""
        from diagnose.cli.job_input import read_job

        return read_job(self.job or "-")

    @cached_property
    def pack(self) -> str:
        """The pack in force: the job's own, else the one of the option, else the default.

        Raises
        ------
        InputError : the option names another pack than the job.
        """
        from diagnose.errors import InputError
        from diagnose.knowledge.loader import DEFAULT_PACK

        own = self._pack_of_job()
        if own and self.pack_option and own != self.pack_option:
            raise InputError(
                f"'{self.job}' is a job of the pack '{own}', not of '{self.pack_option}'.",
                where="--pack",
                next_step="Leave --pack out: a job goes on with its own pack.",
            )
        return own or self.pack_option or DEFAULT_PACK

    def _pack_of_job(self) -> str:
        """The pack that the command's job names; empty where it names none or is not there yet."""
        from diagnose.errors import StoreError
        from diagnose.job.state import fold
        from diagnose.records.places import open_store

        if self.job is None:
            return ""
        if self.job_is_file or Path(self.job).suffix in (".yaml", ".yml", ".json"):
            return str(self.job_data.get("pack") or "")
        try:
            with open_store(self.store_option or self.job_file) as store:
                return fold(store.load(self.job)[:1]).pack
        except StoreError:
            return ""  # said by the command itself, which knows what it wanted of the job

    def of_job(self, job: str) -> Context:
        """The same options for a command about this job."""
        return replace(self, job=job)

    @cached_property
    def knowledge(self) -> Knowledge:
        """Cards that passed all checks."""
        from diagnose.knowledge.root import knowledge_root, load_cached

        root = knowledge_root(self.knowledge_option)
        return load_cached(root, self.home / "cache", self.pack)

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
        )

    @property
    def priors(self) -> str:
        """Which version of what was learned is in force; empty: the cards alone."""
        from diagnose.shop.learned_versions import in_force

        found = in_force(self.home, self.knowledge.pack.id)
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
            reasoner.recogniser.ready()  # before the first words are read
            return Conversation(reasoner, self.shop.roles, self.shop.house(self.knowledge))

    @property
    def job_file(self) -> Path:
        """The shop's own job file."""
        from diagnose.records.places import JOB_FILE

        return self.home / JOB_FILE

    def clock(self) -> str:
        """Local time with its offset, to the second."""
        return datetime.datetime.now().astimezone().isoformat(timespec="seconds")
