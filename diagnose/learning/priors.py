"""Rates of causes from the cards and from closed jobs together.

The cards' shares count as so many jobs seen before (pseudo-counts of a Dirichlet distribution);
what the shop's own jobs counted is added. The mean of the result is the proposal:

    share = (worth x card's share + times found) / (worth + times any cause was found)

Only the rates of causes among each other are learned. How many jobs have no fault, how many a
second one, and the rate of 'none of these' stay the pack's. That the shop's bikes may be of other
ages or climates than the pack's is not told apart, nor which closed jobs came straight to the
bench: the rates are those of the counter, and `compile_pack` moves both columns of a card alike.

Source: Gelman et al. 2013, *Bayesian Data Analysis*, section 3.4 (Dirichlet and multinomial).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from diagnose.belief.compiled import UNLISTED
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import rate_at
from diagnose.learning.tally import Tally

__all__ = ["WORTH", "Proposal", "RateLine", "card_rates", "interval", "pooled", "propose"]

#: how many jobs the cards' own rates are worth (a foreman's judgement)
WORTH = 100.0

#: half-width of a 95 % interval in standard deviations
_SIGMAS = 1.96


@dataclass(frozen=True)
class RateLine:
    """One cause of a proposal.

    ``found`` of ``looked`` jobs (whole finds only); ``low`` and ``high``: interval of its share of
    jobs at 95 %. ``before`` and ``after``: jobs in 1000.
    """

    cause: str
    name: str
    found: int
    looked: int
    low: float
    high: float
    before: float
    after: float


@dataclass(frozen=True)
class Proposal:
    """Rates to apply or not. ``rates``: jobs in 1000 by cause, for all causes."""

    jobs: int
    looked: int
    nothing: int
    partly: int
    left_out: int
    worth: float
    lines: tuple[RateLine, ...]
    rates: Mapping[str, float]

    @property
    def counted(self) -> bool:
        """Whether any job says what was wrong, whole or in parts."""
        return self.looked > self.nothing or self.partly > 0


def card_rates(knowledge: Knowledge) -> dict[str, float]:
    """The cards' own rates at the counter, jobs in 1000."""
    return {cause.id: rate_at(cause.per_1000, "counter") for cause in knowledge.causes.values()}


def interval(found: float, looked: float) -> tuple[float, float]:
    """95 % interval of a share from n of m.

    Source: Wilson 1927, *Probable inference, the law of succession, and statistical inference*.

    >>> [round(x, 3) for x in interval(5, 100)]
    [0.022, 0.112]
    >>> interval(0, 0)
    (0.0, 1.0)
    """
    if looked <= 0:
        return 0.0, 1.0
    share, square = found / looked, _SIGMAS**2
    middle = (share + square / (2 * looked)) / (1 + square / looked)
    half = (
        _SIGMAS
        * sqrt(share * (1 - share) / looked + square / (4 * looked**2))
        / (1 + square / looked)
    )
    return max(0.0, middle - half), min(1.0, middle + half)


def pooled(
    rates: Mapping[str, float], counts: Mapping[str, float], worth: float = WORTH
) -> dict[str, float]:
    """Rates with counts added to them; the sum of all rates stays.

    Parameters
    ----------
    rates : jobs in 1000 by cause, all > 0. counts : times found, in parts too.
    worth : how many finds the rates are worth.

    >>> pooled({"a": 10.0, "b": 30.0}, {"a": 100.0}, worth=100.0)
    {'a': 25.0, 'b': 15.0}
    """
    total = sum(rates.values())
    seen = sum(counts.get(cause, 0.0) for cause in rates)
    return {
        cause: total * (worth * rate / total + counts.get(cause, 0.0)) / (worth + seen)
        for cause, rate in rates.items()
    }


def propose(tally: Tally, worth: float = WORTH) -> Proposal:
    """The proposal that follows from counts; always from the cards' rates, never from earlier
    learned ones, so that no job counts twice."""
    knowledge = tally.knowledge
    before = card_rates(knowledge)
    after = pooled(before, tally.counts, worth)
    lines = [
        RateLine(
            cause,
            knowledge.causes[cause].name,
            tally.whole[cause],
            tally.looked,
            *interval(tally.whole[cause], tally.looked),
            before[cause],
            after[cause],
        )
        for cause in before
        if tally.counts.get(cause, 0.0) > 0.0 and cause != UNLISTED
    ]
    lines.sort(key=lambda line: (-line.found, -line.after, line.cause))
    return Proposal(
        tally.jobs,
        tally.looked,
        tally.nothing,
        tally.partly,
        tally.left_out,
        worth,
        tuple(lines),
        {cause: round(rate, 6) for cause, rate in after.items()},
    )
