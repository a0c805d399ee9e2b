"""How people and instruments err: the one model that belief, simulation and training share.

The report layer
----------------
A reporter sees a finding in its true state ``s`` and names a state ``r``. ``hit`` is the chance of
naming anything but the healthy state when the first abnormal state holds; each severer state is
missed half as often. ``false_alarm`` is the chance of naming an abnormal state when all is well.
``grade`` is the chance that a reported severity is the true one; misjudged severities fall off by
half with each step. Reports of different reporters are independent given the true state.
The numbers stand on the cards, and in ``reporters`` of the pack where no card says.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from diagnose.belief.network import Floats
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check, Pace, Reliability, Spread, Symptom

__all__ = [
    "confusion",
    "denial",
    "paced_likelihood",
    "reading_likelihood",
    "reliability_of",
    "report_table",
    "spread_likelihood",
    "text_likelihood",
]

#: deviations from the middle of a rate's distribution at which it is summed, and their weights
_STEPS = np.linspace(-4.0, 4.0, 321)
_WEIGHTS = -0.5 * _STEPS**2 - math.log(float(np.exp(-0.5 * _STEPS**2).sum()))


def reliability_of(knowledge: Knowledge, card: Symptom | Check, by: str) -> Reliability:
    """How far this reporter (``customer``, ``counter``, ``bench``) is believed on this card."""
    reporters = knowledge.pack.reporters
    if isinstance(card, Symptom):
        return card.customer if by == "customer" else reporters.passed_on
    if by == "customer":
        asked = knowledge.symptoms.get(f"said_{card.observes}")
        return asked.customer if asked else reporters.customer
    return card.reliability


def report_table(
    knowledge: Knowledge,
    card: Symptom | Check,
    by: str,
    *,
    finding: str | None = None,
    unasked: bool = False,
) -> Floats:
    """(true state, reported state) chances of a reporter on what a card observes.

    Parameters
    ----------
    finding : another one that its answers report on. unasked : the customer brought it up, which
    happens less often for nothing.
    """
    reliability = reliability_of(knowledge, card, by)
    return confusion(
        len(knowledge.findings[finding or card.observes].states),
        knowledge.chance(reliability.hit),
        (knowledge.pack.reporters.unasked if unasked else 1.0)
        * knowledge.chance(reliability.false_alarm),
        knowledge.chance(reliability.grade),
    )


def denial(knowledge: Knowledge) -> float:
    """Likelihood ratio, 0..1, of a cause when whoever looked inside says that it is not that.

    He errs as the pack says of one who tells what he saw himself (`Reporters.passed_on`).
    """
    seen = knowledge.pack.reporters.passed_on
    return (1.0 - knowledge.chance(seen.hit)) / (1.0 - knowledge.chance(seen.false_alarm))


def confusion(states: int, hit: float, false_alarm: float, grade: float) -> Floats:
    """(true state, reported state) chances; rows sum to 1.

    >>> confusion(2, 0.9, 0.05, 0.9).round(2).tolist()
    [[0.95, 0.05], [0.1, 0.9]]
    """
    table = np.zeros((states, states))
    halves = np.array([0.5**r for r in range(states - 1)])
    table[0, 0] = 1.0 - false_alarm
    table[0, 1:] = false_alarm * halves / halves.sum()
    for s in range(1, states):
        seen = 1.0 - (1.0 - hit) * 0.5 ** (s - 1)
        table[s, 0] = 1.0 - seen
        wrong = np.array([0.0 if r == s else 0.5 ** abs(r - s) for r in range(1, states)])
        share = grade if states > 2 else 1.0
        if states > 2:
            table[s, 1:] = seen * (1.0 - share) * wrong / wrong.sum()
        table[s, s] = seen * share
    return table


def text_likelihood(table: Floats, reported: int, certainty: float, prior: Floats) -> Floats:
    """Likelihood of states from words that were understood with some certainty.

    With chance ``certainty`` the words say what the recogniser took them to say; otherwise they
    say nothing about this finding.

    Parameters
    ----------
    table : (true, reported) chances. prior : (states,) chance of each state before any words; it
    says how often such words would be said at all, which is what 'nothing' is weighed against.

    >>> table = confusion(2, 0.9, 0.01, 0.9)
    >>> text_likelihood(table, 1, 1.0, np.array([0.9, 0.1])).round(2).tolist()
    [0.1, 9.09]
    """
    column = table[:, reported]
    likelihood: Floats = certainty * column / float(prior @ column) + (1.0 - certainty)
    return likelihood


def reading_likelihood(
    value: float, uncertainty: float, means: Floats, deviations: Floats, misread: float
) -> Floats:
    """Likelihood of states from a measured quantity.

    Parameters
    ----------
    value, uncertainty : the quantity and its standard uncertainty, in the card's unit.
    means, deviations : (states,) the quantity's distribution in each state.
    misread : chance that it was read wrongly; it never counts for more than that against a state.

    Returns
    -------
    (states,) likelihoods with the largest 1, floored at `misread`.
    """
    spread = np.hypot(deviations, uncertainty)
    away = (value - means) / spread
    # Further out than the outermost state is still that state, not one that merely spreads more.
    lowest, highest = np.flatnonzero(means == means.min()), np.flatnonzero(means == means.max())
    if len(lowest) == len(highest) == 1:
        away[lowest] = np.maximum(away[lowest], 0.0)
        away[highest] = np.minimum(away[highest], 0.0)
    log = -0.5 * away**2 - np.log(spread * math.sqrt(2.0 * math.pi))
    likelihood: Floats = np.maximum(np.exp(log - log.max()), misread)
    return likelihood


def spread_likelihood(
    value: float,
    uncertainty: float,
    spreads: Mapping[str, Spread],
    states: Sequence[str],
    misread: float,
) -> Floats:
    """`reading_likelihood` of a card's spreads, in the order of `states`."""
    means = np.array([spreads[state].mean for state in states])
    deviations = np.array([spreads[state].sd for state in states])
    return reading_likelihood(value, uncertainty, means, deviations, misread)


def paced_likelihood(
    value: float,
    uncertainty: float,
    paces: Mapping[str, Pace],
    states: Sequence[str],
    response: Callable[[float], float],
    misread: float,
) -> Floats:
    """Likelihood of states that are rates, from a change that was read against the clock.

    Each state is summed over the rates that it may have. What nothing can show tells nothing:
    after a minute all rates read alike, and so do all after which nothing was left.

    Parameters
    ----------
    value, uncertainty : the change and its standard uncertainty (> 0), in the unit of `response`.
    response : change that a fault of a given rate makes in the time that passed.
    misread : as in `reading_likelihood`.

    Returns
    -------
    (states,) likelihoods with the largest 1, floored at `misread`.
    """
    log = np.empty(len(states))
    for s, pace in enumerate(paces[state] for state in states):
        rates = pace.median * pace.factor**_STEPS
        shown = np.array([response(rate) for rate in rates])
        terms = _WEIGHTS - 0.5 * ((value - shown) / uncertainty) ** 2
        top = terms.max()
        log[s] = top + math.log(float(np.exp(terms - top).sum()))
    likelihood: Floats = np.maximum(np.exp(log - log.max()), misread)
    return likelihood
