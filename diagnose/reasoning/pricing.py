"""What the plan costs the customer, and whether that is more than was agreed to.

A price that the customer set holds for the whole plan. A dearer plan is asked again before it is
begun, never in the middle of a sheet: a shock is not left open over money.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.job.agreement import word_on
from diagnose.job.state import JobState
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.reasoning.said_stages import price_of, stage_lines

__all__ = ["Bill", "bill_of", "closed_bill", "price_now", "too_dear"]


@dataclass(frozen=True)
class Bill:
    """What a job came to, and what the customer had agreed to at most; None: no limit was named."""

    minutes: float
    parts: float
    price: float
    up_to: float | None
    currency: str

    @property
    def over(self) -> bool:
        """More than was agreed to, by more than rounding."""
        return self.up_to is not None and self.price > self.up_to + 0.5

    @property
    def words(self) -> str:
        """One sentence for customer and shop."""
        money = self.currency
        spent = f"{self.minutes:.0f} min, parts {self.parts:.0f} {money}"
        agreed = "" if self.up_to is None else f"; agreed up to {self.up_to:.0f} {money}"
        return f"It came to {self.price:.0f} {money} ({spent}){agreed}."


def bill_of(reasoner: Reasoner, job: JobState, sheet: str, minutes: float, parts: float) -> Bill:
    """The bill by the one rule for a price: minutes at the shop's rate, and parts [currency]."""
    word = word_on(reasoner.knowledge, sheet, job.answers)
    money = reasoner.money
    up_to = None if word is None or word.declined else word.up_to
    price = minutes * money.rate_per_minute + parts
    return Bill(minutes, parts, price, up_to, money.currency)


def price_now(reasoner: Reasoner, view: View) -> float:
    """What the whole plan is likely to cost as the job is judged now [currency]."""
    return price_of(stage_lines(view.decision), reasoner.money.rate_per_minute)


def closed_bill(reasoner: Reasoner, job: JobState) -> str:
    """What a closed job came to, in words; empty where minutes or parts were not noted."""
    closed, parts = job.closed, job.facts.parts_cost
    if closed is None or closed.ended or closed.minutes is None or parts is None:
        return ""
    return bill_of(reasoner, job, closed.job or closed.stage, closed.minutes, parts).words


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
