"""What a person typed becomes a reading in SI with its uncertainty.

Rules
-----
- What cannot be understood raises `InputError` and names the nearest units.
- What can be understood but cannot be ('250 bar' in a shock) raises it too, with the range that can
  be and the reason (`kinds`).
- What can be but is hardly true ('30 bar') is kept and *questioned*: `Measured.question` holds the
  sentence to put to the person.
- A decimal comma is a decimal point. '1,200' could be either and is refused.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from diagnose.bench.kinds import KINDS, Kind
from diagnose.bench.units import BARE, DIMENSIONS, Unit, find_unit, from_unit, render, units_of
from diagnose.errors import InputError

__all__ = ["Measured", "believable", "read", "require_possible", "with_unit"]

_LONGEST_TEXT = 60  # signs; a reading, not a letter: nothing longer is searched through
_CONFUSED = 3  # units of a dimension that are taken for one another


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


_NUMBER = re.compile(r"\s*([+\-−–]?\s*(?:\d+(?:[.,]\d+)*|[.,]\d+))[.,]?\s*")
#: words that make a reading a rough one; they may stand before the number or behind it
_ROUGH = re.compile(
    r"^\s*(?:about|around|roughly|approx\w*\.?|ca\.?|circa|some|nearly|[~≈])\s*(?=[-+−–\d.,])"
    r"|(?<=\d)\s*-?ish\b|\s+or so\s*$",
    re.IGNORECASE,
)
#: half-width of a rough reading as a share of it: common practice (no source)
_ROUGH_SHARE = 0.05
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
                next_step=f"Write a number and its unit, for example '{kind.example}'.",
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
            next_step=f"Write a number and its unit, for example '{kind.example}'.",
        )
    return found


def _span(low: float, high: float, kind: Kind, unit: Unit) -> tuple[float, float, str]:
    """Two limits [SI] and the two as words in `unit`."""
    ends = [from_unit(end, kind.unit, kind.dimension) for end in (low, high)]
    words = [render(end, unit.symbol, dimension=kind.dimension) for end in ends]
    return ends[0], ends[1], " to ".join(words)


def _within(value: float, low: float, high: float) -> bool:
    # A limit that came through another unit is still the limit.
    return low - 1e-9 * abs(low) <= value <= high + 1e-9 * abs(high)


def _meant(value: float, unit: Unit, kind: Kind) -> str:
    """'Was 250 psi meant?' where the number is believable in a unit that is often confused."""
    low, high, _ = _span(kind.low, kind.high, kind, unit)
    number = (value - unit.offset) / unit.factor
    for other in DIMENSIONS[kind.dimension][:_CONFUSED]:
        meant = number * other.factor + other.offset
        if other.symbol != unit.symbol and low <= meant <= high:
            return f"Was {render(meant, other.symbol, dimension=kind.dimension)} meant?"
    return ""


def _question(value: float, unit: Unit, kind: Kind, name: str) -> str:
    low, high, span = _span(kind.low, kind.high, kind, unit)
    if _within(value, low, high):
        return ""
    said = render(value, unit.symbol, dimension=kind.dimension)
    asked = _meant(value, unit, kind) or "Is it really so?"
    return f"{said} is not believable as {name} ({span}). {asked}"


def require_possible(
    value: float, kind: str, *, unit: str = "", said: str = "", where: str = ""
) -> None:
    """Raise where no such value can be.

    Parameters
    ----------
    value : [SI].
    kind : key of `KINDS`.
    unit : symbol that the message speaks in; left out, the one asked for by default.
    said : how it was written, for the message.

    Raises
    ------
    InputError : with the range that can be and the reason.

    >>> require_possible(from_unit(99999, "psi"), "air pressure")
    Traceback (most recent call last):
    ...
    diagnose.errors.InputError: 99999 psi cannot be: air pressure is 0 psi to 600 psi, because \
a shock pump's gauge begins at zero, shows no vacuum, and ends at about 600 psi. Read it again \
and write it as it stands there.
    """
    asked = KINDS[kind]
    spoken = find_unit(unit or asked.unit, asked.dimension)
    low, high, span = _span(asked.floor, asked.ceiling, asked, spoken)
    if _within(value, low, high):
        return
    said = said or render(value, spoken.symbol, dimension=asked.dimension)
    raise InputError(
        f"{said} cannot be: {kind} is {span}, because {asked.why}.",
        where=where,
        next_step=_meant(value, spoken, asked) or "Read it again and write it as it stands there.",
    )


def with_unit(text: str, unit: str) -> str:
    """A typed value with the unit that was asked for, unless it names one.

    >>> with_unit("165", "psi"), with_unit("11.4 bar", "psi"), with_unit("about -3,5", "mm")
    ('165 psi', '11.4 bar', 'about -3,5 mm')
    """
    text = " ".join(text.split())
    named = any(sign.isalpha() or sign in "%°" for sign in _ROUGH.sub("", text))
    return text if named or unit in BARE else f"{text} {unit}".strip()


def believable(kind: str, unit: str) -> str:
    """What is usual for a reading, in words.

    >>> believable("air pressure", "bar"), believable("clicks", "x")
    ('0 bar to 24.8 bar', '0 to 60')
    """
    asked = KINDS[kind]
    return _span(asked.low, asked.high, asked, find_unit(unit or asked.unit, asked.dimension))[2]


def read(
    text: str, kind: str, *, unit: str = "", resolution: float = 0.0, where: str = ""
) -> Measured:
    """What a person typed, in SI, with its uncertainty.

    Parameters
    ----------
    text : number with unit, for example '165 psi', '11,4 bar', '2 h 30 min', '-10 C'; a '± 2'
        after it states the half-width of what the instrument may be off; 'about' or 'ish' makes
        it a rough one.
    kind : key of `KINDS`.
    unit : that the question names: a bare number counts in it. Left out, a kind of which two units
        are in use wants its unit said.
    resolution : smallest step of the instrument [SI]; the last digit written counts where coarser.
    where : field or reading, for the message.

    Returns
    -------
    Measured : standard uncertainty = step/sqrt(12), or half-width/sqrt(3) where '±' was given.

    Raises
    ------
    InputError : no number, unknown unit, unit missing where it matters, or it cannot be.

    Source: GUM (JCGM 100:2008) F.2.2.1 and 4.3.7.

    >>> reading = read("11,4 bar", "air pressure")
    >>> round(reading.value), round(reading.uncertainty)
    (1140000, 2887)
    >>> read("30 bar", "air pressure").question
    '30 bar is not believable as air pressure (0 bar to 24.8 bar). Was 30 psi meant?'
    """
    asked = KINDS[kind]
    if len(text) > _LONGEST_TEXT:
        raise InputError(
            f"'{text[:20]}...' is too long for one reading.",
            where=where,
            next_step=f"Write a number and its unit, for example '{asked.example}'.",
        )
    rough = _ROUGH.search(text) is not None
    parts = _PLUS_MINUS.split(_ROUGH.sub("", text))
    if len(parts) > 2:
        raise InputError(f"'{text}' has more than one ±.", where=where, next_step="Keep one.")
    amounts = _amounts(parts[0], asked, where)
    widths = _amounts(parts[1], asked, where) if len(parts) == 2 else []
    if len(widths) > 1:
        raise InputError(f"'{text}' has two values after ±.", where=where, next_step="Keep one.")
    if len(amounts) == 1 and not amounts[0][2] and widths:
        amounts = [(amounts[0][0], amounts[0][1], widths[0][2])]
    value, last = 0.0, 0.0
    named, unit_said = find_unit(unit or asked.unit, asked.dimension), bool(unit)
    for number, digit, written in amounts:
        if not written and (len(amounts) > 1 or (asked.unit_needed and not unit_said)):
            raise InputError(
                f"'{text.strip()}' has no unit.",
                where=where,
                next_step=f"Write it with one of: {', '.join(units_of(asked.dimension))}.",
            )
        try:
            named = find_unit(written, asked.dimension) if written else named
        except InputError as error:
            raise InputError(error.what, where=where, next_step=error.next_step) from None
        value += number * named.factor + named.offset
        last = digit * named.factor
    require_possible(value, kind, unit=named.symbol, said=with_unit(text, unit), where=where)
    spread = max(resolution, last) / math.sqrt(12.0)
    if widths and widths[0][0] != 0.0:
        half, _, written = widths[0]
        around = find_unit(written, asked.dimension) if written else named
        spread = abs(half) * around.factor / math.sqrt(3.0)
    elif rough:
        spread = max(spread, _ROUGH_SHARE * abs(value - named.offset) / math.sqrt(3.0))
    return Measured(value, spread, kind, text.strip(), _question(value, named, asked, kind))
