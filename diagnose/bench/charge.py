"""The gas charge behind the floating piston: pressure, force, depth, cavitation, gas in the oil.

Pressures are absolute [Pa] unless a name says gauge. The gas volume at full extension is the bore
times the depth of the floating piston; the shaft that enters shrinks it.
"""

from __future__ import annotations

from math import exp, pi, sqrt

from diagnose.bench.gas import STANDARD_PRESSURE, require_positive
from diagnose.errors import InputError

__all__ = [
    "cavitation_force",
    "cavitation_speed",
    "charge_from_force",
    "charge_pressure",
    "circle_area",
    "column_loss",
    "compression_ratio",
    "effective_modulus",
    "free_gas_fraction",
    "gas_volume",
    "orifice_drop",
    "piston_travel",
    "shaft_force",
]


def circle_area(diameter: float) -> float:
    """Area [m2] of a circle of `diameter` [m].

    >>> round(circle_area(0.010) * 1e6, 2)
    78.54
    """
    require_positive(diameter, "diameter")
    return pi / 4.0 * diameter**2


def gas_volume(bore: float, depth: float) -> float:
    """Gas volume [m3] at full extension: (pi/4) D^2 L, bore and depth [m].

    Source: geometry.

    >>> round(gas_volume(0.024, 0.030) * 1e6, 3)
    13.572
    """
    require_positive(depth, "depth of the floating piston")
    return circle_area(bore) * depth


def charge_pressure(
    pressure: float, volume: float, shaft_area: float, stroke: float, exponent: float = 1.0
) -> float:
    """Absolute gas pressure [Pa] with the shaft `stroke` [m] in: p0 (V0/(V0 - As x))^n.

    Parameters
    ----------
    pressure : at full extension [Pa absolute].
    volume : gas at full extension, V0 [m3].
    shaft_area : As [m2].
    exponent : 1 slow ... 1.4 fast [-].

    Raises
    ------
    InputError : the shaft would need more room than the gas has.

    Source: law of Boyle, polytropic, with the displaced volume.

    >>> round(charge_pressure(18.25e5, 13.572e-6, 78.54e-6, 0.050) / 1e5, 2)
    25.68
    """
    require_positive(pressure, "absolute pressure")
    left = volume - shaft_area * stroke
    if not left > 0:
        raise InputError(
            "The shaft displaces more oil than the gas chamber has room for.",
            next_step="Check depth of the floating piston, bore, shaft diameter and stroke.",
        )
    return float(pressure * (volume / left) ** exponent)


def compression_ratio(volume: float, shaft_area: float, stroke: float) -> float:
    """Ratio of gas volumes at full extension and at `stroke` [m]: V0/(V0 - As S).

    Source: geometry.

    >>> round(compression_ratio(13.572e-6, 78.54e-6, 0.050), 3)
    1.407
    """
    return charge_pressure(1.0, volume, shaft_area, stroke)


def piston_travel(displaced: float, bore: float) -> float:
    """Travel [m] of the floating piston when `displaced` [m3] of oil moves it.

    Source: geometry.

    >>> round(piston_travel(3.927e-6, 0.024) * 1e3, 2)
    8.68
    """
    return displaced / circle_area(bore)


def shaft_force(gauge_pressure: float, shaft_diameter: float) -> float:
    """Force [N] with which the charge pushes the shaft out, air spring empty: (p - pa) As.

    Source: statics.

    >>> round(shaft_force(1_723_689.3, 0.010), 1)
    135.4
    """
    return gauge_pressure * circle_area(shaft_diameter)


def charge_from_force(force: float, shaft_diameter: float) -> float:
    """Gauge pressure [Pa] of the charge that pushes the shaft with `force` [N].

    Source: `shaft_force` solved for the pressure.

    >>> round(charge_from_force(135.378, 0.010) / 6894.757)
    250
    """
    return force / circle_area(shaft_diameter)


def orifice_drop(
    speed: float, piston_area: float, orifice_area: float, coefficient: float, density: float
) -> float:
    """Pressure drop [Pa] over the main piston: (rho/2)(Q/(Cd A0))^2 with Q = A v.

    Parameters
    ----------
    speed : of the shaft [m/s].  piston_area : bore less shaft [m2].
    orifice_area : all open holes [m2].  coefficient : Cd, 0.6-0.8 [-].  density : [kg/m3].

    Source: orifice equation, any text on fluid mechanics.

    >>> round(orifice_drop(1.0, 373.85e-6, 6e-6, 0.7, 870.0) / 1e5, 2)
    34.47
    """
    require_positive(piston_area, "area of the piston around the shaft")
    require_positive(orifice_area, "orifice area")
    require_positive(coefficient, "discharge coefficient")
    require_positive(density, "density")
    return density / 2.0 * (piston_area * speed / (coefficient * orifice_area)) ** 2


def cavitation_speed(
    pressure: float, piston_area: float, orifice_area: float, coefficient: float, density: float
) -> float:
    """Shaft speed [m/s] at which the oil behind the piston reaches zero pressure.

    `pressure` is that of the charge [Pa absolute]; no base valve; oil vapour taken as zero.

    Source: `orifice_drop` equal to the charge; monotube theory as in Dixon, The Shock Absorber
    Handbook (from memory).

    >>> round(cavitation_speed(18.25014e5, 373.8495e-6, 6e-6, 0.7, 870.0), 4)
    0.7277
    """
    require_positive(pressure, "absolute pressure")
    at_one = orifice_drop(1.0, piston_area, orifice_area, coefficient, density)
    return sqrt(pressure / at_one)


def cavitation_force(pressure: float, piston_area: float) -> float:
    """Largest compression force [N] of the main piston before cavitation: p A.

    `pressure` is that of the charge [Pa absolute], `piston_area` bore less shaft [m2].

    Source: monotube theory as in Dixon, The Shock Absorber Handbook (from memory).

    >>> round(cavitation_force(18.25014e5, 373.8495e-6), 1)
    682.3
    """
    require_positive(pressure, "absolute pressure")
    return pressure * piston_area


def free_gas_fraction(
    fraction: float, pressure: float, oil_modulus: float, exponent: float = 1.0
) -> float:
    """Volume share [-] of free gas in oil at `pressure` [Pa absolute].

    gas = a0 (pa/p)^(1/n), oil = (1 - a0) exp(-(p - pa)/B), a = gas/(gas + oil)

    Parameters
    ----------
    fraction : share at one atmosphere, a0 [-].
    oil_modulus : bulk modulus of the oil alone, B [Pa].

    Raises
    ------
    InputError : fraction outside 0 to 1.

    Source: law of Boyle, polytropic; definition of the bulk modulus.

    >>> round(free_gas_fraction(0.05, 10 * 101325.0, 1.5e9), 5)
    0.00524
    """
    if not 0.0 <= fraction < 1.0:
        raise InputError(
            f"A share of gas of {fraction:.4g} is outside 0 to 1.",
            next_step="Give it as a share, for example 0.05 for 5 %.",
        )
    require_positive(pressure, "absolute pressure")
    require_positive(oil_modulus, "bulk modulus")
    gas = float(fraction * (STANDARD_PRESSURE / pressure) ** (1.0 / exponent))
    oil = (1.0 - fraction) * exp((STANDARD_PRESSURE - pressure) / oil_modulus)
    return gas / (gas + oil)


def effective_modulus(
    oil_modulus: float, local_fraction: float, pressure: float, exponent: float = 1.0
) -> float:
    """Bulk modulus [Pa] of oil with gas in it: 1/Be = (1 - a)/B + a/(n p).

    `local_fraction` a is the share of free gas at that pressure, not at one atmosphere.

    Source: Fluid Power Engineering, eq. 2.51-2.57.

    >>> round(effective_modulus(1.5e9, 0.0, 1e6) / 1e6)
    1500
    """
    require_positive(oil_modulus, "bulk modulus")
    require_positive(pressure, "absolute pressure")
    return 1.0 / ((1.0 - local_fraction) / oil_modulus + local_fraction / (exponent * pressure))


def column_loss(oil_volume: float, fraction: float, pressure: float) -> float:
    """Volume [m3] by which oil with free gas shrinks under the charge: V a0 (1 - pa/p).

    `fraction` a0 is the share at one atmosphere, `pressure` the charge [Pa absolute].

    Source: law of Boyle.

    >>> round(column_loss(60e-6, 0.05, 18.25e5) * 1e6, 2)
    2.83
    """
    require_positive(pressure, "absolute pressure")
    return oil_volume * fraction * (1.0 - STANDARD_PRESSURE / pressure)
