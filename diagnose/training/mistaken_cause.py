"""What the truth was taken for, and the check that would have settled it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.belief.compiled import UNLISTED
from diagnose.belief.reports import report_table
from diagnose.training.calling import NO_FAULT
from diagnose.training.moment import Coach
from diagnose.training.scoring import Result

__all__ = ["Fooled", "fooled", "settling"]


@dataclass(frozen=True)
class Fooled:
    """A cause that was not there, the one that was, and what tells them apart.

    ``how``: in the card's words where a card speaks of the pair, else empty.
    """

    taken: str
    truth: str
    check: str
    how: str


def fooled(coach: Coach, truth: Sequence[str], result: Result) -> Fooled | None:
    """The look-alike of a session: the cause that was named wrongly, else the strongest rival."""
    present = [cause for cause in truth if cause != UNLISTED]
    if not present:
        return None
    wrong = [c for c in result.call.causes if c not in truth and c != UNLISTED]
    if not wrong:
        rivals: dict[str, float] = {}
        for step in result.steps:
            for cause, chance in step.belief.items():
                if cause not in (*truth, UNLISTED, NO_FAULT):
                    rivals[cause] = max(rivals.get(cause, 0.0), chance)
        wrong = sorted(rivals, key=lambda cause: -rivals[cause])
    if not wrong:
        return None
    check, how = settling(coach, present[0], wrong[0])
    return Fooled(wrong[0], present[0], check, how)


def settling(coach: Coach, one: str, other: str) -> tuple[str, str]:
    """The check that tells two causes apart, and how: as a card says, else by the numbers.

    By the numbers: the most distance between its answers under either cause, for its price.
    """
    causes = coach.knowledge.causes
    for here, there in ((one, other), (other, one)):
        for look in causes[here].mistaken_for:
            if look.cause == there and look.settled_by in coach.knowledge.checks:
                return look.settled_by, look.how
    compiled = coach.compiled
    present = np.array([[c == one for c in compiled.causes], [c == other for c in compiled.causes]])
    chances = compiled.network.state_chances(present)
    best, most = "", -1.0
    for check in coach.knowledge.checks.values():
        for finding in check.findings:
            f = compiled.network.finding_index[finding]
            start, end = compiled.network.state_offsets[f : f + 2]
            states = chances[:, start:end]
            seen = states @ report_table(coach.knowledge, check, check.at, finding=finding)
            apart = float(np.abs(seen[0] - seen[1]).sum()) / (5.0 + coach.price(check))
            if apart > most:
                best, most = check.id, apart
    return best, ""
