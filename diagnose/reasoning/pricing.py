"""What the plan costs the customer, and whether that is more than was agreed to.

A price that the customer set holds for the whole plan. A dearer plan is asked again before it is
begun, never in the middle of a sheet: a shock is not left open over money.
"""

from __future__ import annotations

from diagnose.job.agreement import word_on
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.reasoning.said_stages import price_of, stage_lines

__all__ = ["price_now", "too_dear"]


def price_now(reasoner: Reasoner, view: View) -> float:
    """What the whole plan is likely to cost as the job is judged now [currency]."""
    return price_of(stage_lines(view.decision), reasoner.money.rate_per_minute)


def too_dear(reasoner: Reasoner, view: View, stage: str) -> float | None:
    """The plan's price [currency] where it is above what the customer set for this stage and the
    stage's sheet is not begun; else None.
    """
    word = word_on(reasoner.knowledge, stage, view.job.answers)
    if word is None or word.declined or word.up_to is None:
        return None
    if any(name == stage for name, _ in view.job.steps):
        return None
    price = price_now(reasoner, view)
    return price if price > word.up_to else None
