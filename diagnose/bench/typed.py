"""What a person typed becomes a reading in SI with its uncertainty.

Rules
-----
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

from diagnose.bench.units import DIMENSIONS, Unit, find_unit, from_unit, render, units_of
from diagnose.errors import InputError

__all__ = ["KINDS", "Kind", "Measured", "read"]

_LONGEST_TEXT = 60
_CONFUSED = 3  # units of a dimension that are taken for one another


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
    "ratio": Kind("ratio", "1", 0.01, 20, floor=1e-6),
    "exponent": Kind("ratio", "1", 1, 1.5, floor=1e-6),
    "clicks": Kind("count", "x", 0, 60, floor=0),
    "viscosity": Kind("viscosity", "mm2/s", 1, 1000, floor=1e-6),
    "leak rate": Kind("leak rate", "std cc/min", 0, 5000, floor=0),
    "small area": Kind("area", "mm2", 0.01, 100, floor=1e-6),
    "shaft speed": Kind("speed", "m/s", 0, 10, floor=0),
    "density": Kind("density", "kg/m3", 700, 1000, floor=1e-6),
}

_NUMBER = re.compile(r"\s*([+\-−–]?\s*(?:\d+(?:[.,]\d+)*|[.,]\d+))\s*")
_PLUS_MINUS = re.compile(r"\s*(?:±|\+/-|\+-)\s*")


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
    for other in DIMENSIONS[kind.dimension][:_CONFUSED]:
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
    unit = find_unit(asked.unit, asked.dimension)
    for number, digit, written in amounts:
        if not written and (asked.unit_needed or len(amounts) > 1):
            raise InputError(
                f"'{text.strip()}' has no unit.",
                where=where,
                next_step=f"Write it with one of: {', '.join(units_of(asked.dimension))}.",
            )
        try:
            unit = find_unit(written, asked.dimension) if written else unit
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
        around = find_unit(written, asked.dimension) if written else unit
        spread = abs(half) * around.factor / math.sqrt(3.0)
    return Measured(value, spread, kind, text.strip(), _question(value, unit, asked, kind))


def _below(kind: Kind) -> str:
    if kind.dimension == "pressure":
        return "It would be less than a vacuum; read the gauge again."
    if kind.dimension == "time":
        return "Time runs forwards; give the later moment minus the earlier one."
    return "Measure again and write it as it stands on the tool."
