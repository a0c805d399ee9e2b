"""The score of one session: what its choices cost beyond the best ones, and what was unsafe.

Rules
-----
- Choices are judged by what could be known when they were made, never by luck: a path of best
  choices scores 100, whatever was wrong in the end.
- The score is the share of the path's expected cost that a best path would have cost.
- A safety lapse is no number: it stands beside the score, and no score outweighs it.
- Confidence is judged by itself, by the quadratic score of Brier 1950, *Verification of forecasts
  expressed in terms of probability*, Monthly Weather Review 78(1).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.training.moment import StepClass

__all__ = ["PASS", "Call", "Lapse", "Result", "Step", "result_of"]

#: score from which a session without a lapse counts as passed (a trainer's judgement, from memory)
PASS = 80.0


@dataclass(frozen=True)
class Lapse:
    """One thing that can hurt somebody. ``told``: what would have happened, or could have."""

    what: str
    told: str


@dataclass(frozen=True)
class Step:
    """One choice and what it was worth.

    Attributes
    ----------
    ident : card, ``open:STAGE``, the look, or ``call``. regret : counted cost beyond the best
    [currency]. best : name of the best choice at that moment. told : what came back.
    belief : chance of the main suspects before the step, by cause, and that there is no fault.
    """

    ident: str
    name: str
    kind: StepClass
    regret: float
    price: float
    best: str
    told: str = ""
    belief: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Call:
    """How it was decided, and what the evidence in hand warranted.

    ``work``: outcomes or small jobs. ``work_regret``, ``ride_regret`` [currency].
    ``chance``: what the evidence gives the named causes; ``right``: they were there.
    """

    work: tuple[str, ...]
    causes: tuple[str, ...]
    ride: str
    sure: float
    best_work: tuple[str, ...]
    best_ride: str
    work_regret: float
    ride_regret: float
    chance: float
    right: bool

    @property
    def brier(self) -> float:
        """Squared distance of the stated confidence from what was so; 0 is best, 1 worst."""
        return (self.sure - float(self.right)) ** 2


@dataclass(frozen=True)
class Result:
    """One session, scored."""

    scenario: str
    skill: str
    score: float
    floor: float
    regret: float
    steps: tuple[Step, ...]
    hints: tuple[float, ...]
    lapses: tuple[Lapse, ...]
    call: Call

    @property
    def passed(self) -> bool:
        """Good enough, and nothing unsafe."""
        return not self.lapses and self.score >= PASS

    @property
    def kinds(self) -> dict[str, int]:
        """How many steps of each kind."""
        return dict(Counter(step.kind for step in self.steps))


def result_of(
    scenario: str,
    skill: str,
    floor: float,
    steps: Sequence[Step],
    hints: Sequence[float],
    lapses: Sequence[Lapse],
    call: Call,
) -> Result:
    """Score a session.

    Parameters
    ----------
    floor : expected cost of the best path from the complaint on [currency]. hints : prices paid.
    """
    regret = sum(step.regret for step in steps) + sum(hints) + call.work_regret + call.ride_regret
    score = 100.0 * floor / (floor + regret)
    return Result(
        scenario,
        skill,
        round(score, 1),
        floor,
        regret,
        tuple(steps),
        tuple(hints),
        tuple(lapses),
        call,
    )
