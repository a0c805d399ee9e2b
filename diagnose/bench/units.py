"""Units in, SI inside, units out: the one place where a number changes its unit.

`typed` reads what a person wrote; everything else goes through `from_unit`, `to_unit` and `render`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import NamedTuple

from diagnose.errors import InputError
from diagnose.nearest import nearest

__all__ = [
    "BARE",
    "DIMENSIONS",
    "PSI",
    "Unit",
    "find_unit",
    "from_unit",
    "render",
    "to_unit",
    "units_of",
]

PSI = 6894.757293168361  # Pa; lbf/in2 from the exact pound, inch and standard gravity
_LBF = 4.4482216152605  # N, exact
_INCH = 0.0254  # m, exact
_CM3_PER_MIN = 1e-6 / 60.0


class Unit(NamedTuple):
    """One unit: SI value = number * factor + offset."""

    symbol: str
    factor: float
    offset: float = 0.0
    aliases: tuple[str, ...] = ()


# Factors: BIPM SI Brochure and NIST SP 811, exact definitions (from memory). The units that people
# at a bench confuse come first.
DIMENSIONS: Mapping[str, tuple[Unit, ...]] = {
    "pressure": (
        Unit("psi", PSI, aliases=("psig", "lbf/in2", "pounds", "lb/in2")),
        Unit("bar", 1e5, aliases=("barg",)),
        Unit("kPa", 1e3),
        Unit("MPa", 1e6),
        Unit("hPa", 1e2, aliases=("mbar",)),
        Unit("Pa", 1.0),
    ),
    "length": (
        Unit("mm", 1e-3, aliases=("millimetre", "millimeter", "millimetres", "millimeters")),
        Unit("cm", 1e-2),
        Unit("m", 1.0, aliases=("metre", "meter", "metres", "meters")),
        Unit("in", _INCH, aliases=("inch", "inches", '"')),
        Unit("ft", 12 * _INCH, aliases=("feet", "foot")),
        Unit("um", 1e-6, aliases=("micron",)),
    ),
    "volume": (
        Unit("cc", 1e-6, aliases=("cm3", "ccm", "ml")),
        Unit("l", 1e-3, aliases=("litre", "liter", "dm3")),
        Unit("m3", 1.0),
        Unit("in3", _INCH**3),
    ),
    "mass": (
        Unit("kg", 1.0, aliases=("kilo", "kilos")),
        Unit("g", 1e-3),
        Unit("lb", 0.45359237, aliases=("lbs", "pounds")),
        Unit("st", 6.35029318, aliases=("stone",)),
    ),
    "force": (
        Unit("N", 1.0, aliases=("newton", "newtons")),
        Unit("kN", 1e3),
        Unit("lbf", _LBF, aliases=("lb", "lbs")),
        # A hand scale shows kilograms; what it feels is this force.
        Unit("kgf", 9.80665, aliases=("kg", "kp")),
    ),
    "torque": (
        Unit("N·m", 1.0, aliases=("newtonmetre", "newtonmeter")),
        Unit("in-lbf", _INCH * _LBF, aliases=("inlb", "inlbs", "lbfin", "lbin", "inchpounds")),
        Unit("ft-lbf", 12 * _INCH * _LBF, aliases=("ftlb", "ftlbs", "lbfft", "lbft")),
        Unit("N·cm", 1e-2),
        Unit("kgf·m", 9.80665, aliases=("kgm",)),
    ),
    "temperature": (
        Unit("C", 1.0, 273.15, aliases=("degc", "celsius", "degreesc", "degreescelsius")),
        Unit(
            "F",
            5.0 / 9.0,
            459.67 * 5.0 / 9.0,
            aliases=("degf", "fahrenheit", "degreesf", "degreesfahrenheit"),
        ),
        Unit("K", 1.0, aliases=("kelvin",)),
    ),
    "temperature step": (Unit("K", 1.0, aliases=("c", "degc")),),
    "time": (
        Unit("s", 1.0, aliases=("sec", "second", "seconds")),
        Unit("min", 60.0, aliases=("mins", "minute", "minutes")),
        Unit("h", 3600.0, aliases=("hr", "hrs", "hour", "hours")),
        Unit("d", 86400.0, aliases=("day", "days")),
        Unit("y", 365.25 * 86400.0, aliases=("year", "years")),
    ),
    "leak rate": (
        Unit("std cc/min", _CM3_PER_MIN, aliases=("sccm", "cc/min", "cm3/min", "stdcm3/min")),
        Unit("std cc/s", 1e-6, aliases=("sccs", "cc/s", "cm3/s", "stdcm3/s")),
    ),
    "viscosity": (Unit("mm2/s", 1e-6, aliases=("cst", "centistokes")),),
    "density": (Unit("kg/m3", 1.0), Unit("g/cm3", 1e3, aliases=("g/cc", "kg/l"))),
    "speed": (Unit("m/s", 1.0), Unit("mm/s", 1e-3)),
    "area": (Unit("mm2", 1e-6), Unit("cm2", 1e-4), Unit("m2", 1.0)),
    "energy": (Unit("J", 1.0, aliases=("joule",)),),
    "rate": (Unit("N/mm", 1e3), Unit("N/m", 1.0)),
    "angle": (Unit("deg", math.pi / 180.0, aliases=("degree", "degrees", "°")),),
    "ratio": (Unit("1", 1.0, aliases=("",)), Unit("%", 0.01, aliases=("percent",))),
    "count": (Unit("x", 1.0, aliases=("", "clicks", "click", "times", "turns")),),
}

#: units that are not said: a plain number
BARE = ("1", "x")

_NOISE = re.compile(r"[\s.·*\-^°_]")
_POWERS = str.maketrans("²³µμ", "23uu")


def _key(unit: str) -> str:
    if unit.strip() == "°":
        return "deg"
    return _NOISE.sub("", unit.translate(_POWERS).casefold())


def _table(dimension: str) -> dict[str, Unit]:
    return {
        _key(name): unit for unit in DIMENSIONS[dimension] for name in (unit.symbol, *unit.aliases)
    }


_BY_KEY: Mapping[str, Mapping[str, Unit]] = {name: _table(name) for name in DIMENSIONS}


def units_of(dimension: str) -> tuple[str, ...]:
    """Symbols of the units of one dimension, the usual one first.

    >>> units_of("torque")[0]
    'N·m'
    """
    return tuple(unit.symbol for unit in DIMENSIONS[dimension])


def find_unit(symbol: str, dimension: str | None = None) -> Unit:
    """The unit that a symbol or alias names.

    Parameters
    ----------
    dimension : needed only where a symbol has two meanings.

    Raises
    ------
    InputError : unknown unit, or a unit of another dimension; names the nearest.

    >>> find_unit("Nm").symbol
    'N·m'
    """
    key = _key(symbol)
    tables = [_BY_KEY[dimension]] if dimension else list(_BY_KEY.values())
    for table in tables:
        if key in table:
            return table[key]
    if dimension is None:
        raise InputError(f"'{symbol}' is not a unit this program knows.")
    others = [name for name, table in _BY_KEY.items() if key in table and key]
    if others:
        known = ", ".join(units_of(dimension))
        raise InputError(
            f"'{symbol}' is a unit of {others[0]}; a {dimension} is asked for.",
            next_step=f"Give it in one of: {known}.",
        )
    symbols = {name: entry.symbol for name, entry in _BY_KEY[dimension].items()}
    raise InputError(
        f"'{symbol}' is not a unit of {dimension}.",
        next_step=nearest(key, symbols, written=symbols),
    )


def from_unit(value: float, unit: str, dimension: str | None = None) -> float:
    """SI value of `value` [unit].

    Parameters
    ----------
    value : the number, in `unit`.
    unit : symbol or alias.
    dimension : needed only where a symbol has two meanings ('kg' as a mass or on a hand scale).

    Raises
    ------
    InputError : unknown unit, or a unit of another dimension.

    Source: BIPM SI Brochure, NIST SP 811 (from memory).

    >>> round(from_unit(200, "psi") / 1e5, 6)
    13.789515
    >>> round(from_unit(-10, "C"), 2)
    263.15
    """
    found = find_unit(unit, dimension)
    return value * found.factor + found.offset


def to_unit(value: float, unit: str, dimension: str | None = None) -> float:
    """Number that stands before `unit` for the SI `value`; the inverse of `from_unit`.

    >>> round(to_unit(from_unit(250, "in-lbf"), "N·m"), 3)
    28.246
    """
    found = find_unit(unit, dimension)
    return (value - found.offset) / found.factor


def _digits(value: float, step: float) -> str:
    """`value` rounded to the decimal place of the leading digit of `step`."""
    places = max(0, -math.floor(math.log10(step))) if step > 0 else 0
    text = f"{value:.{places}f}"
    return text.lstrip("-") if float(text) == 0 else text


def render(
    value: float, unit: str, uncertainty: float | None = None, dimension: str | None = None
) -> str:
    """Text for an SI `value` in `unit`, with its standard uncertainty if given.

    Parameters
    ----------
    value, uncertainty : [SI].
    unit : symbol to write.

    >>> render(from_unit(165, "psi"), "psi")
    '165 psi'
    >>> render(from_unit(21.3, "psi"), "psi", 4.2 * 6894.757)
    '21 ± 4 psi'
    """
    found = find_unit(unit, dimension)
    number = to_unit(value, unit, dimension)
    if uncertainty is not None and uncertainty > 0:
        spread = uncertainty / found.factor
        # Two digits while the first is a 1: '±1' would hide anything from 1.0 to 1.5.
        step = spread / 10 if f"{spread:e}"[0] == "1" else spread
        if step < 1e-9 or spread >= 1e9:
            return f"{number:.6g} ± {spread:.2g} {found.symbol}"
        return f"{_digits(number, step)} ± {_digits(spread, step)} {found.symbol}"
    size = abs(number)
    if size == 0 or not 1e-4 <= size < 1e9:
        text = f"{number:.4g}"
    else:
        places = max(0, 2 - math.floor(math.log10(size)))
        text = f"{number:.{places}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    return text if found.symbol in BARE else f"{text} {found.symbol}"
