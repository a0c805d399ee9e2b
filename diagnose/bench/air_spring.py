"""The air spring: force over stroke, stuck short, trapped gas.

Stroke x runs from 0 at full extension. A positive force extends. The two air chambers are joined
only at the transfer position; beyond it each is closed and follows its own law of Boyle. Pressures
are absolute [Pa] unless a name says gauge. Friction and seal drag are left out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from diagnose.bench import charge
from diagnose.bench.gas import STANDARD_PRESSURE, require_positive
from diagnose.bench.units import from_unit
from diagnose.errors import InputError

__all__ = [
    "TYPICAL",
    "TYPICAL_CHARGE",
    "AirSpring",
    "Reextension",
    "axial_force",
    "bisect",
    "charge_at",
    "negative_at",
    "negative_from_balance",
    "positive_at",
    "reextension",
    "reextension_gauge",
    "rest_position",
    "return_gauge",
    "set_pressure_for",
    "spring_force",
    "spring_rate",
    "stroke_under",
]


@dataclass(frozen=True)
class AirSpring:
    """Dimensions of one air-sprung shock, all SI.

    Parameters
    ----------
    air_bore, body_diameter, shaft_diameter, damper_bore : [m].
    stroke, transfer : full stroke and transfer position [m].
    positive_volume, negative_volume : at full extension [m3].
    charge_depth : of the floating piston [m].
    """

    air_bore: float = 0.040
    body_diameter: float = 0.028
    stroke: float = 0.050
    positive_volume: float = 100e-6
    negative_volume: float = 6e-6
    transfer: float = 0.006
    shaft_diameter: float = 0.010
    damper_bore: float = 0.024
    charge_depth: float = 0.030

    @property
    def positive_area(self) -> float:
        """Area that the positive chamber pushes on [m2]."""
        return charge.circle_area(self.air_bore)

    @property
    def negative_area(self) -> float:
        """Ring that the negative chamber pushes on [m2]."""
        return self.positive_area - charge.circle_area(self.body_diameter)

    @property
    def shaft_area(self) -> float:
        """Cross-section of the shaft [m2]."""
        return charge.circle_area(self.shaft_diameter)

    @property
    def charge_volume(self) -> float:
        """Gas behind the floating piston at full extension [m3]."""
        return charge.gas_volume(self.damper_bore, self.charge_depth)

    def positive_volume_at(self, x: float) -> float:
        """Volume of the positive chamber [m3] at stroke x [m]."""
        return self.positive_volume - self.positive_area * x

    def negative_volume_at(self, x: float) -> float:
        """Volume of the negative chamber [m3] at stroke x [m]."""
        return self.negative_volume + self.negative_area * x


TYPICAL = AirSpring()
"""A typical shock in round numbers, no product; results from it are a model, not a measurement."""

#: gauge pressure of its damper's gas [Pa]; common practice (no source)
TYPICAL_CHARGE = from_unit(250.0, "psi")

Reextension = Literal["within usual pressure", "within marked maximum", "do not open"]


def _on_stroke(spring: AirSpring, x: float) -> None:
    if not 0.0 <= x <= spring.stroke * (1.0 + 1e-9):
        raise InputError(
            f"A stroke of {x * 1e3:.4g} mm is outside 0 to {spring.stroke * 1e3:.4g} mm.",
            next_step="Measure from full length; check the stroke on the sheet.",
        )


def positive_at(spring: AirSpring, x: float, set_pressure: float, exponent: float = 1.0) -> float:
    """Absolute pressure [Pa] of the positive chamber at x [m]: p_t (V+(x_t)/V+(x))^n.

    `set_pressure` [Pa absolute] is the common pressure at the transfer position.

    Raises
    ------
    InputError : x outside the stroke.

    Source: law of Boyle, polytropic.

    >>> round(positive_at(TYPICAL, 0.050, 13.01325e5) / 1e5, 2)
    32.37
    """
    _on_stroke(spring, x)
    ratio = spring.positive_volume_at(spring.transfer) / spring.positive_volume_at(x)
    return float(set_pressure * ratio**exponent)


def negative_at(spring: AirSpring, x: float, set_pressure: float, exponent: float = 1.0) -> float:
    """Absolute pressure [Pa] of the negative chamber at x [m]: p_t (V-(x_t)/V-(x))^n.

    Source: law of Boyle, polytropic.

    >>> round(negative_at(TYPICAL, 0.0, 13.01325e5) / 1e5 - 1.01325, 2)
    20.34
    """
    _on_stroke(spring, x)
    ratio = spring.negative_volume_at(spring.transfer) / spring.negative_volume_at(x)
    return float(set_pressure * ratio**exponent)


def charge_at(spring: AirSpring, x: float, pressure: float, exponent: float = 1.0) -> float:
    """Absolute pressure [Pa] of the gas charge at x [m], `pressure` [Pa absolute] at full length.

    Source: `charge.charge_pressure` with this shock's dimensions.

    >>> round(charge_at(TYPICAL, 0.050, 18.25e5) / 1e5, 2)
    25.68
    """
    return charge.charge_pressure(pressure, spring.charge_volume, spring.shaft_area, x, exponent)


def axial_force(
    spring: AirSpring,
    positive: float,
    negative: float,
    charge_gas: float,
    ambient: float = STANDARD_PRESSURE,
) -> float:
    """Force [N] that the gases push the shock apart with, pressures [Pa absolute].

    F = (p+ - pa) A+ - (p- - pa) A- + (p_charge - pa) As

    Source: static equilibrium.

    >>> round(axial_force(TYPICAL, 101325.0, 101325.0, 18.25014e5), 1)
    135.4
    """
    return (
        (positive - ambient) * spring.positive_area
        - (negative - ambient) * spring.negative_area
        + (charge_gas - ambient) * spring.shaft_area
    )


def spring_force(
    spring: AirSpring,
    x: float,
    set_pressure: float,
    charge_gas: float,
    exponent: float = 1.0,
    ambient: float = STANDARD_PRESSURE,
) -> float:
    """Spring force [N] at x [m] of a healthy shock.

    Parameters
    ----------
    set_pressure : at the transfer position [Pa absolute].
    charge_gas : at full extension [Pa absolute].
    exponent : 1 at rest ... 1.4 on a fast stroke.

    Source: `axial_force` with the polytropic pressures.

    >>> round(spring_force(TYPICAL, 0.025, 13.01325e5, 18.25014e5))
    1929
    """
    return axial_force(
        spring,
        positive_at(spring, x, set_pressure, exponent),
        negative_at(spring, x, set_pressure, exponent),
        charge_at(spring, x, charge_gas, exponent),
        ambient,
    )


def spring_rate(
    spring: AirSpring, x: float, set_pressure: float, charge_gas: float, exponent: float = 1.0
) -> float:
    """Spring rate [N/m] at x [m].

    k = n p+ A+^2/V+ + n p- A-^2/V- + n p_charge As^2/V_charge

    Source: derivative of `spring_force`.

    >>> round(spring_rate(TYPICAL, 0.015, 13.01325e5, 18.25014e5) / 1e3, 2)
    51.43
    """
    chambers = (
        (
            positive_at(spring, x, set_pressure, exponent),
            spring.positive_area,
            spring.positive_volume_at(x),
        ),
        (
            negative_at(spring, x, set_pressure, exponent),
            spring.negative_area,
            spring.negative_volume_at(x),
        ),
        (
            charge_at(spring, x, charge_gas, exponent),
            spring.shaft_area,
            spring.charge_volume - spring.shaft_area * x,
        ),
    )
    return sum(exponent * p * area**2 / volume for p, area, volume in chambers)


def bisect(rising: Callable[[float], float], low: float, high: float) -> float:
    """Root of a rising function in [low, high]; the nearer end if it has none there.

    >>> round(bisect(lambda x: x * x - 2, 0.0, 2.0), 9)
    1.414213562
    """
    if rising(low) >= 0.0:
        return low
    if rising(high) <= 0.0:
        return high
    for _ in range(60):
        middle = 0.5 * (low + high)
        if rising(middle) < 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def stroke_under(spring: AirSpring, force: float, set_pressure: float, charge_gas: float) -> float:
    """Stroke [m] at which a healthy shock carries `force` [N] at rest, within its stroke.

    Source: root of `spring_force`, n = 1.

    >>> round(stroke_under(TYPICAL, 1176.8, 10.6086e5, 18.25014e5) * 1e3, 1)
    15.0
    """
    return bisect(
        lambda x: spring_force(spring, x, set_pressure, charge_gas) - force, 0.0, spring.stroke
    )


def set_pressure_for(spring: AirSpring, force: float, x: float, charge_gas: float) -> float:
    """Set pressure [Pa absolute at transfer] with which the shock rests at x [m] under `force` [N].

    Raises
    ------
    InputError : no pressure does it.

    Source: `spring_force` is linear in the set pressure for n = 1.

    >>> round((set_pressure_for(TYPICAL, 1176.798, 0.015, 18.25014e5) - 101325) / 1e5, 2)
    9.6
    """
    slope = (
        positive_at(spring, x, 1.0) * spring.positive_area
        - negative_at(spring, x, 1.0) * spring.negative_area
    )
    offset = axial_force(spring, 0.0, 0.0, charge_at(spring, x, charge_gas))
    if slope <= 0.0 or force <= offset:
        raise InputError(
            "No air pressure gives this sag under this load.",
            next_step="Check rider mass, leverage, stroke and the sag wanted.",
        )
    return (force - offset) / slope


def rest_position(
    spring: AirSpring,
    positive: float,
    trapped_set_pressure: float,
    charge_gas: float,
    ambient: float = STANDARD_PRESSURE,
) -> float:
    """Stroke [m] where a shock stands by itself with gas trapped in the negative chamber.

    Parameters
    ----------
    positive : constant pressure of the positive chamber, for example ambient [Pa absolute].
    trapped_set_pressure : pressure at which the negative chamber was closed off [Pa absolute].
    charge_gas : at full extension [Pa absolute].

    Source: root of `axial_force`.

    >>> round(rest_position(TYPICAL, 101325.0, 13.01325e5, 18.25014e5) * 1e3)
    42
    """

    def push(x: float) -> float:
        return axial_force(
            spring,
            positive,
            negative_at(spring, x, trapped_set_pressure),
            charge_at(spring, x, charge_gas),
            ambient,
        )

    return bisect(push, 0.0, spring.stroke)


def negative_from_balance(
    spring: AirSpring, positive: float, charge_gas: float, ambient: float = STANDARD_PRESSURE
) -> float:
    """Pressure [Pa absolute] behind the air piston of a shock that stands still, short, unloaded.

    Parameters
    ----------
    positive : what the positive chamber holds [Pa absolute].
    charge_gas : at the stroke where it stands [Pa absolute].

    Source: `axial_force` = 0 solved for the negative chamber.

    >>> round(negative_from_balance(TYPICAL, 11.4e5, 25e5) / 6894.757)
    353
    """
    push = axial_force(spring, positive, ambient, charge_gas, ambient)
    return ambient + push / spring.negative_area


def reextension_gauge(
    spring: AirSpring, negative: float, charge_gas: float, ambient: float = STANDARD_PRESSURE
) -> float:
    """Gauge pressure [Pa] of the positive chamber at which the shock starts to extend.

    Parameters
    ----------
    negative : trapped pressure where it stands [Pa absolute].
    charge_gas : at the stroke where it stands [Pa absolute].

    Source: `axial_force` = 0 solved for the positive chamber. Negative if it extends by itself.

    >>> round(reextension_gauge(TYPICAL, 13.01325e5, 23.7e5) / 1e5, 1)
    4.7
    """
    pull = -axial_force(spring, ambient, negative, charge_gas, ambient)
    return pull / spring.positive_area


def return_gauge(
    spring: AirSpring,
    x: float,
    negative: float,
    charge_gas: float,
    ambient: float = STANDARD_PRESSURE,
) -> float:
    """Gauge pressure [Pa] that brings a shock standing at x [m] back to the transfer position.

    The trapped gas is pressed together on the way out, so more is needed at the end than at the
    start; at the transfer position the chambers join.

    Parameters
    ----------
    negative : trapped pressure at x [Pa absolute].
    charge_gas : at full extension [Pa absolute].

    Source: `reextension_gauge` at the transfer position, law of Boyle for the trapped gas.

    >>> round(return_gauge(TYPICAL, 0.043, 335 * 6894.757, 18.25014e5) / 6894.757)
    559
    """
    end = min(x, spring.transfer)
    pressed = negative * spring.negative_volume_at(x) / spring.negative_volume_at(end)
    return reextension_gauge(spring, pressed, charge_at(spring, end, charge_gas), ambient)


def reextension(needed: float, usual: float, maximum: float) -> Reextension:
    """Whether adding air could ever bring a short shock out, gauge pressures [Pa].

    Common practice (no source): never above the usual pressure or the marked maximum; beyond that
    the shock stays shut. The answer is no permission: friction and a jam are not in the numbers.

    Raises
    ------
    InputError : a pressure not above zero.

    >>> reextension(30e5, 12e5, 20e5)
    'do not open'
    """
    require_positive(usual, "usual pressure")
    require_positive(maximum, "marked maximum")
    if needed <= min(usual, maximum):
        return "within usual pressure"
    return "within marked maximum" if needed <= maximum else "do not open"
