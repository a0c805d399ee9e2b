"""A scenario: one shock to practise on, with its truth, whole enough to be played again.

Rules
-----
- Truth never leaves the scenario but through `Answers` and, after the end, the debrief.
- A scenario is kept whole with a session, so that a session that was broken off goes on with the
  same shock although its case was changed since.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from diagnose.belief.compiled import UNLISTED
from diagnose.casebook.cases import Case
from diagnose.knowledge.loader import Knowledge

__all__ = ["STRATEGIES", "Scenario", "number_of", "of_case", "skill_of"]

#: strategy -> what it is that is practised
STRATEGIES: dict[str, str] = {
    "keep_shut": "see what must not be opened",
    "two_faults": "find the second fault",
    "leave_alone": "see that nothing needs work",
    "tell_apart": "tell a look-alike apart",
    "find_cheaply": "ask the cheap question first",
}


class Scenario(BaseModel):
    """One shock to practise on.

    ``counter``, ``bench``: answers as written, by symptom or check; all others are drawn from
    ``truth`` with ``seed``. ``twin``: id of the scenario that looks like this one and is not.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    seed: int
    origin: Literal["case", "generated", "contrast"] = "case"
    strategy: str
    system: str
    complaint: str
    shock: dict[str, Any] = {}
    counter: dict[str, str] = {}
    bench: dict[str, str | dict[str, Any]] = {}
    truth: tuple[str, ...]
    teaching: str = ""
    twin: str = ""

    @property
    def skill(self) -> str:
        """What this trains: system and strategy."""
        return f"{self.system}/{self.strategy}"


def number_of(ident: str) -> str:
    """Number of a case, by which it is called before its end: its id may tell what it is.

    It follows from the id alone, so that no new case moves it.

    >>> number_of("gone_by_monday")
    '04353'
    """
    return f"{zlib.crc32(ident.encode()) % 100_000:05}"


def system_of(knowledge: Knowledge, truth: tuple[str, ...]) -> str:
    """The system of the first cause; 'setup' where nothing is wrong."""
    known = [knowledge.causes[c].system for c in truth if c != UNLISTED]
    return known[0] if known else next(iter(knowledge.pack.systems))


def strategy_of(knowledge: Knowledge, truth: tuple[str, ...], *, shut: bool, hard: bool) -> str:
    """What a truth trains.

    Parameters
    ----------
    shut : it must not be opened. hard : it is meant to be taken for something else.
    """
    if shut:
        return "keep_shut"
    if len(truth) > 1:
        return "two_faults"
    lightest = min(knowledge.stages.values(), key=lambda stage: stage.rank).id
    if all(lightest in knowledge.causes[c].cures for c in truth if c != UNLISTED):
        return "leave_alone"
    return "tell_apart" if hard else "find_cheaply"


def _by_todays_cards(answers: Mapping[str, Any], knowledge: Knowledge) -> dict[str, Any]:
    """Written answers under the ids that replaced those of their day."""
    result = {ask: value for ask, value in answers.items() if ask not in knowledge.retired}
    for ask in answers.keys() - result.keys():
        gone, value = knowledge.retired[ask], answers[ask]
        if isinstance(value, str):
            result.setdefault(gone.replaced_by, gone.states.get(value, value))
        elif gone.readings:
            result.setdefault(gone.replaced_by, value)
    return result


def of_case(case: Case, knowledge: Knowledge, seed: int | None = None) -> Scenario:
    """The scenario of a written case; the same case is the same shock unless a seed is given."""
    truth = tuple(case.truth)
    moments = (case.expect.words, case.expect.counter, case.expect.bench)
    stage = knowledge.device.stages.shut
    shut = any(stage in moment.stage for moment in moments if moment is not None)
    return Scenario(
        id=case.id,
        seed=zlib.crc32(case.id.encode()) if seed is None else seed,
        system=system_of(knowledge, truth),
        strategy=strategy_of(knowledge, truth, shut=shut, hard=case.difficulty == "difficult"),
        complaint=" ".join(case.complaint.split()),
        shock=case.shock,
        counter=_by_todays_cards(case.counter, knowledge),
        bench=_by_todays_cards(case.bench, knowledge),
        truth=truth,
        teaching=case.teaching,
    )


def skill_of(knowledge: Knowledge, skill: str) -> str:
    """A skill in words.

    >>> STRATEGIES["keep_shut"]
    'see what must not be opened'
    """
    system, _, strategy = skill.partition("/")
    name = knowledge.pack.systems.get(system, system)
    return f"{name}: {STRATEGIES.get(strategy, strategy)}"
