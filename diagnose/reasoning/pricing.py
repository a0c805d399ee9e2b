"""What the plan costs the customer, and whether that is more than was agreed to.

A price that the customer set holds for the whole plan. A dearer plan is asked again before it is
begun, never in the middle of a sheet: a shock is not left open over money.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil

from diagnose.job.agreement import word_on
from diagnose.reasoning.judgement import Judgement
from diagnose.reasoning.lines import StageLine
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.reasoning.said_stages import stage_lines

__all__ = ["call_limit", "price_now", "price_of", "too_dear", "whole_price"]

#: how much above the plan's own price is no news to a customer (foreman's judgement)
_MARGIN = 1.15


def whole_price(judgement: Judgement, rate: float) -> float:
    """What the judged plan is likely to cost, all its outcomes together [currency].

    Parameters
    ----------
    rate : the shop's price of a minute [currency].
    """
    return price_of([judgement.stage, *judgement.also_stages], rate)


def price_of(lines: Iterable[StageLine], rate: float) -> float:
    """What these outcomes are likely to cost together [currency]."""
    return sum(line.minutes * rate + line.parts for line in lines)


def price_now(reasoner: Reasoner, view: View) -> float:
    """`whole_price` of the job as it is judged now [currency]."""
    return price_of(stage_lines(view.decision), reasoner.money.rate_per_minute)


def call_limit(judgement: Judgement, rate: float) -> float:
    """The price not to pass without another call [currency]: what the judgement names, and always
    a little above the plan's own, so that nobody is called again for the price of a seal.
    """
    own = 10.0 * ceil(whole_price(judgement, rate) * _MARGIN / 10.0)
    return max(judgement.range.call_before, own)


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
