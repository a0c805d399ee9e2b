"""How far a report is believed: from a reporter's reliability to likelihoods of states.

The report layer
----------------
A reporter sees a finding in its true state ``s`` and names a state ``r``. ``hit`` is the chance of
naming anything but the healthy state when the first abnormal state holds; each severer state is
missed half as often. ``false_alarm`` is the chance of naming an abnormal state when all is well.
``grade`` is the chance that a reported severity is the true one; misjudged severities fall off by
half with each step. Reports of different reporters are independent given the true state.
"""

from __future__ import annotations

import math

import numpy as np

from diagnose.belief.network import Floats

__all__ = ["READING_FLOOR", "confusion", "reading_likelihood", "text_likelihood"]

#: a reading never counts for more than this against a state (an instrument can be misread)
READING_FLOOR = 1e-3


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
    value: float, uncertainty: float, means: Floats, deviations: Floats
) -> Floats:
    """Likelihood of states from a measured quantity.

    Parameters
    ----------
    value, uncertainty : the quantity and its standard uncertainty, in the card's unit.
    means, deviations : (states,) the quantity's distribution in each state.

    Returns
    -------
    (states,) likelihoods with the largest 1, floored at `READING_FLOOR`.
    """
    spread = np.hypot(deviations, uncertainty)
    log = -0.5 * ((value - means) / spread) ** 2 - np.log(spread * math.sqrt(2.0 * math.pi))
    likelihood: Floats = np.maximum(np.exp(log - log.max()), READING_FLOOR)
    return likelihood
