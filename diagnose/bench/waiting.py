"""How long to wait between two readings of a slow change.

A leak that matters to a rider but not to the ear loses about a psi an hour from a usual can (a
foreman's judgement, from memory). Whoever says what such a leak is to have lost by the second
reading has said how long that takes; the wait is given in whole half hours.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil

__all__ = ["HOURS_APART", "hours_until"]

#: from this wait on, nobody stands beside it: the second reading is another day's work [h]
HOURS_APART = 1.0

#: what a slow leak does to a quantity in an hour, in the quantity's own unit
_SLOW_PER_HOUR: Mapping[str, float] = {"unexplained_loss_psi": 1.0}


def hours_until(quantity: str, change: float) -> float | None:
    """Hours until a slow leak has made this change of a quantity; None where it does not creep.

    Parameters
    ----------
    quantity : id of a bench quantity. change : in its own unit.

    >>> hours_until("unexplained_loss_psi", 8.0), hours_until("unexplained_loss_psi", 0.3)
    (8.0, 0.5)
    >>> hours_until("play_mm", 0.5)
    """
    pace = _SLOW_PER_HOUR.get(quantity)
    if pace is None or not change > 0:
        return None
    return ceil(2.0 * change / pace) / 2.0
