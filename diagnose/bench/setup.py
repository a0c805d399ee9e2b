"""Set-up: load on the shock, leverage, sag, travel in reserve. All SI, ratios without unit."""

from __future__ import annotations

from diagnose.bench.gas import require_positive
from diagnose.errors import InputError

__all__ = [
    "GRAVITY",
    "average_leverage",
    "reserve",
    "sag",
    "shock_load",
    "wheel_travel",
]

GRAVITY = 9.80665
"""Standard gravity [m/s2], exact."""


def shock_load(mass: float, rear_share: float, leverage: float) -> float:
    """Force [N] on the shock under a seated rider: m g share LR.

    Parameters
    ----------
    mass : of the rider with kit [kg].  rear_share : carried by the rear wheel [-], about 0.6.
    leverage : wheel travel per shock travel there [-].

    Raises
    ------
    InputError : a value that cannot be.

    Source: statics; frame and unsprung mass left out.

    >>> round(shock_load(80.0, 0.6, 2.5), 1)
    1176.8
    """
    require_positive(mass, "rider mass")
    require_positive(leverage, "leverage ratio")
    if not 0.0 < rear_share <= 1.0:
        raise InputError(
            f"A rear share of {rear_share:.4g} is outside 0 to 1.",
            next_step="Give it as a share, for example 0.6.",
        )
    return mass * GRAVITY * rear_share * leverage


def average_leverage(travel: float, stroke: float) -> float:
    """Mean leverage ratio [-]: wheel travel [m] over shock stroke [m].

    Source: kinematics.

    >>> round(average_leverage(0.125, 0.050), 2)
    2.5
    """
    require_positive(stroke, "stroke")
    return travel / stroke


def wheel_travel(x: float, start: float, fall: float = 0.0) -> float:
    """Wheel travel [m] at shock stroke x [m] where the leverage falls evenly: LR0 x - c x^2/2.

    Parameters
    ----------
    start : leverage at full extension, LR0 [-].  fall : c [1/m].

    Source: integral of LR(x) = LR0 - c x.

    >>> round(wheel_travel(0.015, 2.9, 16.0) * 1e3, 1)
    41.7
    """
    return start * x - fall * x**2 / 2.0


def sag(shaft_travel: float, stroke: float) -> float:
    """Sag [-]: shock travel under the rider [m] over the stroke [m].

    Source: definition.

    >>> sag(0.0125, 0.050)
    0.25
    """
    require_positive(stroke, "stroke")
    return shaft_travel / stroke


def reserve(shaft_travel: float, stroke: float) -> float:
    """Stroke [m] left after the hardest hit of a ride, by the O-ring on the body.

    Source: definition.

    >>> round(reserve(0.047, 0.050) * 1e3, 3)
    3.0
    """
    require_positive(stroke, "stroke")
    return stroke - shaft_travel
