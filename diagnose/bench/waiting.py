"""How long to wait between two readings of a slow change.

A check says what a slow fault is to have done by the second reading and what it does in an hour:
that is how long it takes, and the wait is given in whole half hours.
"""

from __future__ import annotations

from math import ceil

__all__ = ["HOURS_APART", "hours_until"]

#: from this wait on, nobody stands beside it: the second reading is another day's work [h]
HOURS_APART = 1.0


def hours_until(change: float, per_hour: float) -> float | None:
    """Hours until a slow fault has made this change; None where it makes none.

    Parameters
    ----------
    change : in the unit of the reading. per_hour : what the fault does in an hour, > 0.

    >>> hours_until(8.0, 1.0), hours_until(0.3, 1.0)
    (8.0, 0.5)
    """
    if not change > 0:
        return None
    return ceil(2.0 * change / per_hour) / 2.0
