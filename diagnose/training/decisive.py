"""The decisive question of a session: the one answer that moved the belief most toward the truth.

Rules
-----
- Belief moves by weight of evidence, in odds: from 2 % to 20 % is more than from 50 % to 60 %.
- Of two faults each counts by itself: what finds the second one is decisive as well.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from diagnose.training.calling import NO_FAULT
from diagnose.training.scoring import Step

__all__ = ["Decisive", "decisive", "not_asked"]

#: weight of evidence below which nothing was decisive (odds times one and a half)
_LEAST = math.log(1.5)

#: chances nearer to 0 or 1 than this weigh no more
_EDGE = 1e-3


@dataclass(frozen=True)
class Decisive:
    """An answer, and the chance of one true cause before and after it.

    ``cause``: its id, or `NO_FAULT`. ``weight``: of the evidence, natural logarithm of the odds.
    """

    step: Step
    cause: str
    before: float
    after: float

    @property
    def weight(self) -> float:
        return _log_odds(self.after) - _log_odds(self.before)


def _log_odds(chance: float) -> float:
    inside = min(max(chance, _EDGE), 1.0 - _EDGE)
    return math.log(inside / (1.0 - inside))


def decisive(steps: Sequence[Step], truth: Sequence[str]) -> Decisive | None:
    """The answer that spoke most for the truth, or None where none did.

    Parameters
    ----------
    steps : of a session, the call last: each holds the belief before it.
    """
    moved = [
        Decisive(step, cause, step.belief.get(cause, 0.0), after.belief.get(cause, 0.0))
        for step, after in pairwise(steps)
        for cause in truth or (NO_FAULT,)
    ]
    best = max(moved, key=lambda one: one.weight, default=None)
    return best if best is not None and best.weight >= _LEAST else None


def not_asked(mine: Sequence[Step], best: Sequence[Step], truth: Sequence[str]) -> Decisive | None:
    """The decisive question of the best path, where the apprentice did not ask it."""
    found = decisive(best, truth)
    asked = {step.ident for step in mine}
    return found if found is not None and found.step.ident not in asked else None
