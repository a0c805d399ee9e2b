"""What a leak of a given rate takes from a gauge in a given time, and the other way round.

A leak's flow goes with the gauge pressure, so the same share is lost in each hour. That share is
the rate of the leak, whatever pressure it began from and however long somebody waited: it is what
tells a seep from a night's loss, and a drop without its time is neither.

Source: first-order decay, as `leak.gauge_after`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import expm1, inf, log, log1p

__all__ = ["Decay", "span_words"]


@dataclass(frozen=True)
class Decay:
    """Two gauge readings and the time between them.

    Parameters
    ----------
    start : gauge that a tight shock would show the second time, >= 0 [any unit of pressure].
    hours : from the first reading to the second, > 0.
    """

    start: float
    hours: float

    def __call__(self, rate: float) -> float:
        """Drop [unit of `start`] that a leak of this rate [share an hour] makes.

        >>> round(Decay(170.0, 8.0)(0.02), 1), round(Decay(170.0, 1e4)(0.02), 1)
        (25.1, 170.0)
        """
        return -self.start * expm1(-rate * self.hours)

    def rate(self, drop: float) -> float:
        """Rate [share an hour] of the leak that makes this drop; infinite where all is gone.

        >>> round(Decay(170.0, 8.0).rate(25.1), 4), Decay(170.0, 8.0).rate(170.0)
        (0.02, inf)
        """
        return -log1p(-drop / self.start) / self.hours if drop < self.start else inf

    def wait(self, drop: float, rate: float) -> float:
        """Hours in which a leak of this rate makes this drop; infinite where there is no so much.

        >>> round(Decay(170.0, 0.25).wait(3.0, 0.002), 1)
        8.9
        """
        return self.rate(drop) * self.hours / rate

    def half_life(self, drop: float) -> float:
        """Hours in which the leak that makes this drop halves the gauge.

        >>> round(Decay(170.0, 96.0).half_life(30.0) / 24.0, 1)
        14.3
        """
        return log(2.0) / self.rate(drop)


def span_words(hours: float) -> str:
    """A span as it is told to somebody who has to wait or to pump.

    >>> [span_words(hours) for hours in (0.1, 1.2, 9.0, 100.0, 1e5)]
    ['6 min', '1.2 h', '9 h', '4.2 days', 'years']
    """
    if hours < 1.0:
        return f"{max(hours * 60.0, 1.0):.0f} min"
    if hours < 48.0:
        return f"{hours:.2g} h"
    days = hours / 24.0
    return f"{days:.2g} days" if days < 20.0 else f"{days:.0f} days" if days < 1000.0 else "years"
