"""Damper oil: viscosity over temperature, grade, index, expansion.

Kinematic viscosity in SI is m2/s; 1 mm2/s = 1e-6 m2/s. 'Weights' of suspension oil are no
standard: two oils compare only by their mm2/s at 40 C (common practice, no source).
"""

from __future__ import annotations

from math import log10

from diagnose.bench.gas import require_positive
from diagnose.errors import InputError

__all__ = [
    "EXPANSION",
    "GRADES",
    "expansion",
    "grade_range",
    "index_between",
    "viscosity_at",
    "viscosity_index",
]

EXPANSION = 7.0e-4
"""Volumetric expansion of mineral oil [1/K], handbook value; two oils measured 7.7e-4."""

GRADES = (2, 3, 5, 7, 10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200)
"""Viscosity grades of ISO 3448: mm2/s at 40 C, nominal."""

_MM2 = 1e-6
_LOWEST = 2.0 * _MM2  # below it the short form of ASTM D341 does not hold

# Upper end of the range of Y [mm2/s at 100 C], then L = a Y^2 + b Y + c and H = d Y^2 + e Y + f:
# ASTM D2270 (= ISO 2909), coefficients from memory, checked against its printed examples.
_INDEX_TABLE = (
    (3.8, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (4.4, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (5.0, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (6.4, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
    (7.0, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.7, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
    (9.0, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (12.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (15.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
)


def viscosity_at(
    first: float,
    first_temperature: float,
    second: float,
    second_temperature: float,
    temperature: float,
) -> float:
    """Kinematic viscosity [m2/s] at a temperature [K] from two known points of the oil.

    log10 log10(v + 0.7) = A - B log10 T, v in mm2/s

    Raises
    ------
    InputError : a point below 2 mm2/s, or both points at one temperature.

    Source: ASTM D341, short form, valid above 2 mm2/s.

    >>> round(viscosity_at(15e-6, 313.15, 3.6e-6, 373.15, 293.15) * 1e6, 1)
    32.3
    """
    if min(first, second) < _LOWEST:
        raise InputError(
            "The viscosity law holds from 2 mm2/s upwards.",
            next_step="Give the viscosities at 40 C and 100 C from the sheet of the oil.",
        )
    for kelvin in (first_temperature, second_temperature, temperature):
        require_positive(kelvin, "absolute temperature")
    if first_temperature == second_temperature:
        raise InputError(
            "Both viscosities are at one temperature.",
            next_step="Give them at two temperatures, usually 40 C and 100 C.",
        )

    def height(viscosity: float) -> float:
        return log10(log10(viscosity / _MM2 + 0.7))

    slope = (height(first) - height(second)) / log10(first_temperature / second_temperature)
    there = height(first) + slope * log10(temperature / first_temperature)
    return float((10.0 ** (10.0**there) - 0.7) * _MM2)


def viscosity_index(at_40: float, at_100: float) -> float:
    """Viscosity index [-] from the viscosities [m2/s] at 40 C and 100 C.

    Raises
    ------
    InputError : at 100 C outside 2 to 15 mm2/s, where no damper oil lies, or not thinner when hot.

    Source: ASTM D2270 (= ISO 2909); table values from memory.

    >>> round(viscosity_index(22.83e-6, 5.05e-6))
    156
    """
    u, y = at_40 / _MM2, at_100 / _MM2
    if not 2.0 <= y <= _INDEX_TABLE[-1][0] or u <= y:
        raise InputError(
            f"No viscosity index for {u:.4g} mm2/s at 40 C and {y:.4g} mm2/s at 100 C.",
            next_step="At 100 C it must lie in 2 to 15 mm2/s and below the value at 40 C.",
        )
    _, a, b, c, d, e, f = next(row for row in _INDEX_TABLE if y <= row[0])
    return index_between(u, y, (a * y + b) * y + c, (d * y + e) * y + f)


def index_between(at_40: float, at_100: float, low: float, high: float) -> float:
    """Viscosity index [-] from the reference oils of index 0 and 100.

    VI = 100 (L - U)/(L - H) up to 100, above it (10^N - 1)/0.00715 + 100 with N = log(H/U)/log Y

    Parameters
    ----------
    at_40, at_100 : of the oil, U and Y [mm2/s].
    low, high : of the reference oils at 40 C, L and H [mm2/s].

    Source: ASTM D2270 (= ISO 2909), 5.1.4 and 6.1.4.

    >>> round(index_between(73.3, 8.86, 119.94, 69.48), 2)
    92.43
    """
    if at_40 >= high:
        return 100.0 * (low - at_40) / (low - high)
    exponent = log10(high / at_40) / log10(at_100)
    return float((10.0**exponent - 1.0) / 0.00715 + 100.0)


def grade_range(grade: int) -> tuple[float, float]:
    """Lowest and highest viscosity [m2/s] at 40 C of an ISO viscosity grade: 0.9 and 1.1 times.

    Raises
    ------
    InputError : not one of the twenty grades.

    Source: ISO 3448:1992, ASTM D2422.

    >>> [round(v * 1e6, 1) for v in grade_range(15)]
    [13.5, 16.5]
    """
    if grade not in GRADES:
        nearest = min(GRADES, key=lambda known: abs(known - grade))
        raise InputError(
            f"ISO VG {grade} does not exist.", next_step=f"The nearest grade is VG {nearest}."
        )
    return 0.9 * grade * _MM2, 1.1 * grade * _MM2


def expansion(volume: float, warming: float, coefficient: float = EXPANSION) -> float:
    """Volume [m3] that `volume` [m3] of oil gains when it warms by `warming` [K]: V beta dT.

    Source: definition of the coefficient; its value from a handbook table.

    >>> round(expansion(0.1, 20.0) * 1e3, 2)
    1.4
    """
    return volume * coefficient * warming
