"""How long to wait between two readings of a slow change.

A check names the mildest state that it is there to show: the wait is the time in which the middle
fault of that state takes from a shock at its usual pressure the least that two readings show. It
is given in whole quarters of an hour.
"""

from __future__ import annotations

from math import ceil

from diagnose.bench.decay import Decay
from diagnose.bench.leak_readings import LEAST_SHOWN
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.bench.units import PSI

__all__ = ["HOURS_APART", "hours_to_show"]

#: from this wait on, nobody stands beside it: the second reading is another day's work [h]
HOURS_APART = 1.0


def hours_to_show(rate: float) -> float:
    """Hours until a leak of this rate [share an hour, > 0] shows on a gauge.

    >>> hours_to_show(0.002), hours_to_show(0.5)
    (9.0, 0.25)
    """
    usual = SHEET_FIELDS["set_pressure_psi"].typical
    assert usual is not None, "set_pressure_psi: a usual pressure is typical"
    return ceil(4.0 * Decay(usual, 1.0).wait(LEAST_SHOWN / PSI, rate)) / 4.0
