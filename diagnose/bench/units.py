"""Units in, SI inside, units out: the one place where a number changes its unit.

Rules
-----
- `read` turns what a person typed into SI with its uncertainty; `to_unit`, `from_unit` and `render`
  are the only other conversions.
- What cannot be understood raises `InputError` and names the nearest units.
- What can be understood but is hardly true ('250 bar' in a shock) is kept and *questioned*:
  `Measured.question` holds the sentence to put to the person.
- A decimal comma is a decimal point. '1,200' could be either and is refused.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from diagnose.errors import InputError

__all__ = [
    "DIMENSIONS",
    "KINDS",
    "Kind",
    "Measured",
    "Unit",
    "from_unit",
    "read",
    "render",
    "to_unit",
    "units_of",
]

_PSI = 6894.757293168361  # Pa; lbf/in2 from the exact pound, inch and standard gravity
_LBF = 4.4482216152605  # N, exact
_INCH = 0.0254  # m, exact
_CM3_PER_MIN = 1e-6 / 60.0
_LONGEST_TEXT = 60


class Unit(NamedTuple):
    """One unit: SI value = number * factor + offset."""

    symbol: str
    factor: float
    offset: float = 0.0
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True)
class Kind:
    """What sort of quantity a reading is, and what is believable for it.

    Parameters
    ----------
    dimension : key of `DIMENSIONS`.
    unit : the unit asked for by default.
    low, high : believable range [in `unit`]; outside it a value is questioned, not refused.
    floor : nothing below it can exist [in `unit`]; refused.
    unit_needed : a bare number is refused, because two units give two believable values.
    """

    dimension: str
    unit: str
    low: float
    high: float
    floor: float | None = None
    unit_needed: bool = False


@dataclass(frozen=True)
class Measured:
    """A reading in SI with its standard uncertainty.

    Parameters
    ----------
    value, uncertainty : [SI]; the uncertainty is one standard deviation (GUM).
    kind : key of `KINDS`.
    text : what was typed, kept for correction.
    question : empty, or the sentence that asks whether this was meant.
    """

    value: float
    uncertainty: float
    kind: str
    text: str = ""
    question: str = ""


# Factors: BIPM SI Brochure and NIST SP 811, exact definitions (from memory).
DIMENSIONS: Mapping[str, tuple[Unit, ...]] = {
    "pressure": (
        Unit("psi", _PSI, aliases=("psig", "lbf/in2", "pounds", "lb/in2")),
        Unit("bar", 1e5, aliases=("barg",)),
        Unit("kPa", 1e3),
        Unit("MPa", 1e6),
        Unit("hPa", 1e2, aliases=("mbar",)),
        Unit("Pa", 1.0),
    ),
    "length": (
        Unit("mm", 1e-3, aliases=("millimetre", "millimeter")),
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
        Unit("N·cm", 1e-2),
        Unit("in-lbf", _INCH * _LBF, aliases=("inlb", "inlbs", "lbfin", "lbin", "inchpounds")),
        Unit("ft-lbf", 12 * _INCH * _LBF, aliases=("ftlb", "ftlbs", "lbfft", "lbft")),
        Unit("kgf·m", 9.80665, aliases=("kgm",)),
    ),
    "temperature": (
        Unit("C", 1.0, 273.15, aliases=("degc", "celsius")),
        Unit("F", 5.0 / 9.0, 459.67 * 5.0 / 9.0, aliases=("degf", "fahrenheit")),
        Unit("K", 1.0, aliases=("kelvin",)),
    ),
    "temperature step": (Unit("K", 1.0, aliases=("c", "degc")),),
    "time": (
        Unit("s", 1.0, aliases=("sec", "second", "seconds")),
        Unit("min", 60.0, aliases=("mins", "minute", "minutes")),
        Unit("h", 3600.0, aliases=("hr", "hrs", "hour", "hours")),
        Unit("d", 86400.0, aliases=("day", "days")),
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

# Believable ranges: common practice (no source), wide enough for any shock that works at all.
KINDS: Mapping[str, Kind] = {
    "air pressure": Kind("pressure", "psi", 0, 360, floor=-14.69, unit_needed=True),
    "charge pressure": Kind("pressure", "psi", 0, 600, floor=-14.69, unit_needed=True),
    "ambient pressure": Kind("pressure", "hPa", 500, 1100, floor=1e-3, unit_needed=True),
    "temperature": Kind("temperature", "C", -30, 60, floor=-273.149),
    "temperature drift": Kind("temperature step", "K", 0, 30, floor=0),
    "elapsed time": Kind("time", "h", 0, 24 * 60, floor=0, unit_needed=True),
    "short time": Kind("time", "s", 0, 60, floor=0),
    "altitude": Kind("length", "m", -430, 5000, floor=-5000),
    "eye-to-eye length": Kind("length", "mm", 100, 400, floor=0),
    "stroke length": Kind("length", "mm", 0, 120, floor=0),
    "small length": Kind("length", "mm", 0, 30, floor=0),
    "tool length": Kind("length", "mm", 0, 1000, floor=0),
    "can volume": Kind("volume", "cc", 10, 1000, floor=1e-6),
    "small volume": Kind("volume", "cc", 0, 200, floor=0),
    "rider mass": Kind("mass", "kg", 25, 180, floor=1e-6),
    "hand force": Kind("force", "N", 0, 3000, floor=0),
    "torque": Kind("torque", "N·m", 0, 120, floor=0, unit_needed=True),
    "angle": Kind("angle", "deg", 0, 180),
    "leverage": Kind("ratio", "1", 1, 4.5, floor=1e-6),
    "percentage": Kind("ratio", "%", 0, 100, floor=0),
    "ratio": Kind("ratio", "1", 0, 20, floor=1e-6),
    "exponent": Kind("ratio", "1", 1, 1.5, floor=1e-6),
    "clicks": Kind("count", "x", 0, 60, floor=0),
    "viscosity": Kind("viscosity", "mm2/s", 1, 1000, floor=1e-6),
    "leak rate": Kind("leak rate", "std cc/min", 0, 5000, floor=0),
    "small area": Kind("area", "mm2", 0, 100, floor=1e-6),
    "shaft speed": Kind("speed", "m/s", 0, 10, floor=0),
    "density": Kind("density", "kg/m3", 700, 1000, floor=1e-6),
}

_NUMBER = re.compile(r"\s*([+\-−–]?\s*(?:\d+(?:[.,]\d+)*|[.,]\d+))\s*")
_PLUS_MINUS = re.compile(r"\s*(?:±|\+/-|\+-)\s*")
_NOISE = re.compile(r"[\s.·*\-^°_]")
_POWERS = str.maketrans("²³µμ", "23uu")


def _key(unit: str) -> str:
    if unit.strip() == "°":
        return "deg"
    return _NOISE.sub("", unit.translate(_POWERS).casefold())


def _table(dimension: str) -> dict[str, Unit]:
    return {
        _key(name): unit
        for unit in DIMENSIONS[dimension]
        for name in (unit.symbol, *unit.aliases)
    }


_BY_KEY: Mapping[str, Mapping[str, Unit]] = {name: _table(name) for name in DIMENSIONS}


def units_of(dimension: str) -> tuple[str, ...]:
    """Symbols of the units of one dimension, the usual one first.

    >>> units_of("torque")[0]
    'N·m'
    """
    return tuple(unit.symbol for unit in DIMENSIONS[dimension])


def _find(symbol: str, dimension: str | None = None) -> Unit:
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
    import difflib  # only a mistyped unit pays for it

    near = difflib.get_close_matches(key, list(_BY_KEY[dimension]), n=3, cutoff=0.5)
    nearest = list(dict.fromkeys(_BY_KEY[dimension][name].symbol for name in near))
    choice = nearest or list(units_of(dimension))
    raise InputError(
        f"'{symbol}' is not a unit of {dimension}.",
        next_step=f"Nearest: {', '.join(choice)}.",
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
    found = _find(unit, dimension)
    return value * found.factor + found.offset


def to_unit(value: float, unit: str, dimension: str | None = None) -> float:
    """Number that stands before `unit` for the SI `value`; the inverse of `from_unit`.

    >>> round(to_unit(from_unit(250, "in-lbf"), "N·m"), 3)
    28.246
    """
    found = _find(unit, dimension)
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
    found = _find(unit, dimension)
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
    return text if found.symbol == "1" else f"{text} {found.symbol}"


def _number(text: str, where: str) -> tuple[float, float]:
    """The number and the size of its last digit."""
    plain = text.replace("−", "-").replace("–", "-").replace(" ", "")
    bare = plain.lstrip("+-")
    if len(re.findall(r"[.,]", bare)) > 1 or re.fullmatch(r"[1-9]\d{0,2},\d{3}", bare):
        raise InputError(
            f"'{text.strip()}' can be read in two ways.",
            where=where,
            next_step="Write the number without a thousands mark, for example 1200 or 1.2.",
        )
    value = float(plain.replace(",", "."))
    if not math.isfinite(value):
        raise InputError(f"'{text.strip()}' is not a usable number.", where=where)
    decimals = len(re.split(r"[.,]", bare)[1]) if re.search(r"[.,]", bare) else 0
    return value, 10.0**-decimals


def _amounts(text: str, kind: Kind, where: str) -> list[tuple[float, float, str]]:
    """(number, last digit, unit text) of each amount in `text`; only a time may have two."""
    found: list[tuple[float, float, str]] = []
    rest = text
    while rest.strip():
        match = _NUMBER.match(rest)
        if match is None:
            raise InputError(
                f"'{text.strip()}' does not begin with a number.",
                where=where,
                next_step=f"Write a number and its unit, for example '5 {kind.unit}'.",
            )
        value, last = _number(match.group(1), where)
        rest = rest[match.end() :]
        following = re.search(r"\s*\d", rest) if kind.dimension == "time" else None
        cut = following.start() if following else len(rest)
        found.append((value, last, rest[:cut].strip()))
        rest = rest[cut:]
    if not found:
        raise InputError(
            "Nothing was written.",
            where=where,
            next_step=f"Write a number and its unit, for example '5 {kind.unit}'.",
        )
    return found


def _question(value: float, unit: Unit, kind: Kind, name: str) -> str:
    low, high = from_unit(kind.low, kind.unit), from_unit(kind.high, kind.unit)
    if low - 1e-9 <= value <= high * (1 + 1e-9):
        return ""
    said = render(value, unit.symbol, dimension=kind.dimension)
    span = (
        f"{render(low, unit.symbol, dimension=kind.dimension)} to "
        f"{render(high, unit.symbol, dimension=kind.dimension)}"
    )
    number = (value - unit.offset) / unit.factor
    for other in DIMENSIONS[kind.dimension]:
        meant = number * other.factor + other.offset
        if other.symbol != unit.symbol and low <= meant <= high:
            instead = render(meant, other.symbol, dimension=kind.dimension)
            return f"{said} is not believable as {name} ({span}). Was {instead} meant?"
    return f"{said} is not believable as {name} ({span}). Is it really so?"


def read(text: str, kind: str, *, resolution: float = 0.0, where: str = "") -> Measured:
    """What a person typed, in SI, with its uncertainty.

    Parameters
    ----------
    text : number with unit, for example '165 psi', '11,4 bar', '2 h 30 min', '-10 C'; a '± 2'
        after it states the half-width of what the instrument may be off.
    kind : key of `KINDS`.
    resolution : smallest step of the instrument [SI]; the last digit written counts where coarser.
    where : field or reading, for the message.

    Returns
    -------
    Measured : standard uncertainty = step/sqrt(12), or half-width/sqrt(3) where '±' was given.

    Raises
    ------
    InputError : no number, unknown unit, unit missing where it matters, below what can exist.

    Source: GUM (JCGM 100:2008) F.2.2.1 and 4.3.7.

    >>> reading = read("11,4 bar", "air pressure")
    >>> round(reading.value), round(reading.uncertainty)
    (1140000, 2887)
    >>> read("250 bar", "air pressure").question
    '250 bar is not believable as air pressure (0 bar to 24.8 bar). Was 250 psi meant?'
    """
    asked = KINDS[kind]
    if len(text) > _LONGEST_TEXT:
        raise InputError(
            f"'{text[:20]}...' is too long for one reading.",
            where=where,
            next_step=f"Write a number and its unit, for example '5 {asked.unit}'.",
        )
    parts = _PLUS_MINUS.split(text)
    if len(parts) > 2:
        raise InputError(f"'{text}' has more than one ±.", where=where, next_step="Keep one.")
    amounts = _amounts(parts[0], asked, where)
    widths = _amounts(parts[1], asked, where) if len(parts) == 2 else []
    if len(widths) > 1:
        raise InputError(f"'{text}' has two values after ±.", where=where, next_step="Keep one.")
    if len(amounts) == 1 and not amounts[0][2] and widths:
        amounts = [(amounts[0][0], amounts[0][1], widths[0][2])]
    value, last = 0.0, 0.0
    unit = _find(asked.unit, asked.dimension)
    for number, digit, written in amounts:
        if not written and (asked.unit_needed or len(amounts) > 1):
            raise InputError(
                f"'{text.strip()}' has no unit.",
                where=where,
                next_step=f"Write it with one of: {', '.join(units_of(asked.dimension))}.",
            )
        try:
            unit = _find(written, asked.dimension) if written else unit
        except InputError as error:
            raise InputError(error.what, where=where, next_step=error.next_step) from None
        value += number * unit.factor + unit.offset
        last = digit * unit.factor
    floor = None if asked.floor is None else from_unit(asked.floor, asked.unit, asked.dimension)
    if floor is not None and value < floor:
        raise InputError(
            f"{text.strip()} cannot be: {kind} is never below "
            f"{render(floor, unit.symbol, dimension=asked.dimension)}.",
            where=where,
            next_step=_below(asked),
        )
    spread = max(resolution, last) / math.sqrt(12.0)
    if widths and widths[0][0] != 0.0:
        half, _, written = widths[0]
        around = _find(written, asked.dimension) if written else unit
        spread = abs(half) * around.factor / math.sqrt(3.0)
    return Measured(value, spread, kind, text.strip(), _question(value, unit, asked, kind))


def _below(kind: Kind) -> str:
    if kind.dimension == "pressure":
        return "It would be less than a vacuum; read the gauge again."
    if kind.dimension == "time":
        return "Time runs forwards; give the later moment minus the earlier one."
    return "Measure again and write it as it stands on the tool."
