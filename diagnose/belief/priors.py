"""Prior odds from rates, so that the shares of no fault and of a second fault hold exactly."""

from __future__ import annotations

import numpy as np

from diagnose.belief.network import Floats

__all__ = ["scale_odds", "shares"]


def shares(odds: Floats, empty_weight: float) -> tuple[float, float]:
    """Share of jobs with no fault, and share of faulty jobs with a second fault.

    >>> none, second = shares(np.array([0.5]), 1.0)
    >>> round(none, 6), second
    (0.666667, 0.0)
    """
    some = float(np.expm1(np.log1p(odds).sum()))
    none = empty_weight / (empty_weight + some)
    return none, 1.0 - float(odds.sum()) / some


def scale_odds(rates: Floats, no_fault: float, second_fault: float) -> tuple[Floats, float]:
    """Scale relative rates to odds and weight the empty set.

    Parameters
    ----------
    rates : (n,) relative rates, > 0 for at least two causes.
    no_fault : wanted share of jobs without any cause, 0..1 exclusive.
    second_fault : wanted share of faulty jobs with two or more causes, 0..1 exclusive.

    Returns
    -------
    The odds of each cause and the weight of the empty set.

    Notes
    -----
    With odds ``l * rates`` the share of second faults is ``1 - l*sum(rates)/(prod(1+l*rates)-1)``,
    which rises with ``l`` from 0 towards 1, so bisection finds the one ``l``.
    """
    low, high = 0.0, 1.0 / float(rates.sum())
    while shares(high * rates, 1.0)[1] < second_fault:
        high *= 2.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if shares(middle * rates, 1.0)[1] < second_fault:
            low = middle
        else:
            high = middle
    odds = high * rates
    some = float(np.expm1(np.log1p(odds).sum()))
    return odds, some * no_fault / (1.0 - no_fault)
