"""What is kept of people who practise: one readable file each, under the shop's own folder.

Rules
-----
- Initials, no names. A file that is erased is gone; nothing else is kept of a person.
- A session that is not over is kept with its moves after each of them, so that a killed program
  loses nothing.
- Rights at a real bench are no part of this: a trainer signs them (`rights`), no score gives one.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError

from diagnose.atomic import write_whole
from diagnose.errors import InputError, StoreError
from diagnose.training.exercise import Move
from diagnose.training.scenario import Scenario
from diagnose.training.schedule import reviewed
from diagnose.training.scoring import Result

__all__ = ["GUEST", "Ledger", "Open", "Person", "Session", "table"]

#: initials of whoever gives none
GUEST = "guest"


class _Kept(BaseModel):
    model_config = ConfigDict(extra="forbid")


class Session(_Kept):
    """A finished session, in numbers."""

    time: str
    scenario: str
    skill: str
    score: float
    passed: bool
    lapses: list[str]
    hints: int
    sure: float
    right: bool
    brier: float
    kinds: dict[str, int]


class Open(_Kept):
    """A sitting that is not over. ``time``: of its last move."""

    scenarios: list[Scenario]
    moves: list[list[Move]] = []
    time: str = ""

    @property
    def steps(self) -> int:
        """Moves so far."""
        return sum(map(len, self.moves))


class Person(_Kept):
    """Everything kept of one person. ``cards``: memory of each skill. ``open``: broken off."""

    initials: str
    cards: dict[str, dict[str, Any]] = {}
    sessions: list[Session] = []
    open: list[Open] = []

    @property
    def resting(self) -> str:
        """The skill that was practised last, if nothing was unsafe; else none."""
        last = self.sessions[-1] if self.sessions else None
        return last.skill if last is not None and not last.lapses else ""

    def left_at(self, scenarios: Sequence[Scenario]) -> Open | None:
        """Where a sitting with these scenarios was broken off."""
        return next((held for held in self.open if held.scenarios == list(scenarios)), None)

    def drop(self, scenarios: Sequence[Scenario]) -> None:
        """Forget that a sitting with these scenarios was begun."""
        self.open = [held for held in self.open if held.scenarios != list(scenarios)]

    def put_aside(self, held: Open) -> None:
        """Keep a sitting that is not over in the place of what was kept of it."""
        self.drop(held.scenarios)
        self.open.append(held)

    def finish(self, result: Result, now: datetime) -> None:
        """Write a finished session in and set when its skill comes back."""
        self.sessions.append(
            Session(
                time=now.isoformat(timespec="seconds"),
                scenario=result.scenario,
                skill=result.skill,
                score=result.score,
                passed=result.passed,
                lapses=[lapse.what for lapse in result.lapses],
                hints=len(result.hints),
                sure=result.call.sure,
                right=result.call.right,
                brier=round(result.call.brier, 4),
                kinds=result.kinds,
            )
        )
        self.cards[result.skill] = reviewed(
            self.cards.get(result.skill), result.skill, result.score, bool(result.lapses), now
        )


class Ledger:
    """The files of all people.

    Parameters
    ----------
    folder : made when something is first written.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def load(self, initials: str) -> Person:
        """What is kept of a person; empty for somebody new.

        Raises
        ------
        InputError : no initials. StoreError : the file cannot be read.
        """
        path = self._path(initials)
        if not path.exists():
            return Person(initials=initials)
        try:
            return Person.model_validate_json(path.read_text("utf-8"))
        except (OSError, ValidationError, ValueError) as fault:
            raise StoreError(
                "what is kept of this person cannot be read.",
                where=str(path),
                next_step="Mend the file, or erase it: diagnose train erase " + initials,
            ) from fault

    def save(self, person: Person) -> None:
        """Keep a person; whole or not at all.

        Raises
        ------
        StoreError : it cannot be written.
        """
        path = self._path(person.initials)
        try:
            write_whole(path, person.model_dump_json(indent=1))
        except OSError as fault:
            raise StoreError(
                f"training cannot be saved: {fault.strerror}.",
                where=str(path),
                next_step="Free some space, or name another folder in DIAGNOSE_HOME.",
            ) from fault

    def everybody(self) -> list[Person]:
        """All people, by initials."""
        names = sorted(path.stem for path in self.folder.glob("*.json"))
        return [self.load(name) for name in names]

    def erase(self, initials: str) -> None:
        """Remove everything that is kept of a person.

        Raises
        ------
        InputError : nothing is kept of them.
        """
        path = self._path(initials)
        if not path.exists():
            raise InputError(f"nothing is kept of '{initials}'.", where=str(self.folder))
        path.unlink()

    def _path(self, initials: str) -> Path:
        if not re.fullmatch(r"[A-Za-z0-9]{1,8}", initials):
            raise InputError(
                f"'{initials[:20]}' are no initials.", next_step="Use one to eight letters: AB."
            )
        return self.folder / f"{initials}.json"


def table(people: Sequence[Person]) -> str:
    """All sessions as CSV (RFC 4180)."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow(
        [
            "initials",
            "time",
            "case",
            "skill",
            "score",
            "passed",
            "lapses",
            "hints",
            "sure",
            "right",
            "brier",
            "steps",
        ]
    )
    for person in people:
        for s in person.sessions:
            rows.writerow(
                [
                    person.initials,
                    s.time,
                    s.scenario,
                    s.skill,
                    s.score,
                    s.passed,
                    len(s.lapses),
                    s.hints,
                    s.sure,
                    s.right,
                    s.brier,
                    json.dumps(s.kinds, sort_keys=True),
                ]
            )
    return out.getvalue()
