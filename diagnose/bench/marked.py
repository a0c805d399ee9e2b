"""What is marked on the shock, length, stroke and maximum, and what cannot be true beside it.

Rules
-----
- A value typed with the readings goes before the one of the data sheet.
- Readings that contradict what is marked are refused; what is merely dangerous is computed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from math import erf, hypot, sqrt

from diagnose.bench.given import SURE, Given, Input, Uncertain
from diagnose.bench.kinds import KINDS
from diagnose.bench.units import from_unit, render
from diagnose.errors import InputError

__all__ = [
    "MARKED",
    "MAXIMUM",
    "SHORTNESS",
    "STROKE",
    "against_maximum",
    "marked_maximum",
    "require_stroke_in_length",
    "require_within_maximum",
    "shortfall",
    "stroke_of",
    "travelled",
]

_RULER = 1e-3  # m; what a ruler beside an eyelet is off by, common practice (no source)
_SHAFT_SHARE = 0.5  # physics: the body that takes the shaft in is as long as the stroke
_USUAL = "set_pressure_psi"  # field of the sheet: what the rider usually sets
_BURST = 3.0  # times the marked maximum; a can gives way before (from memory)

STROKE = Input(
    "stroke",
    "stroke marked on the shock",
    "stroke",
    sheet="stroke_mm",
    typical=True,
    unit="mm",
    resolution=0.5,
)
MARKED = Input(
    "marked_length",
    "eye-to-eye length marked on the shock",
    "eye-to-eye length",
    default="",
    sheet="eye_to_eye_mm",
    unit="mm",
    resolution=0.5,
)
MAXIMUM = Input(
    "maximum",
    "maximum marked on the shock, if it is not known yet",
    "maximum pressure",
    default="",
    sheet="maximum_pressure_psi",
    unit="psi",
    resolution=1.0,
)

#: how short it stands: its length or the shortfall itself, with what is marked
SHORTNESS = (
    Input(
        "length",
        "eye-to-eye length as it stands",
        "eye-to-eye length",
        default="",
        unit="mm",
        resolution=1.0,
    ),
    Input(
        "shortfall",
        "how much shorter than marked (longer: with a minus)",
        "shortfall",
        default="",
        unit="mm",
        resolution=1.0,
    ),
    MARKED,
    STROKE,
)


def require_stroke_in_length(stroke: float, length: float, where: str) -> None:
    """Raise where a shock of this marked `length` [m] has no room for this `stroke` [m].

    Raises
    ------
    InputError : the stroke is half the length or more.
    """
    if stroke >= _SHAFT_SHARE * length:
        raise InputError(
            f"A stroke of {render(stroke, 'mm')} cannot be in a shock of {render(length, 'mm')} "
            f"eye to eye: it is less than {render(_SHAFT_SHARE * length, 'mm')}, because the body "
            "that takes the shaft in is as long as the stroke.",
            where=where,
            next_step="Read both marks again: the longer one is eye to eye, the shorter the "
            "stroke.",
        )


def stroke_of(given: Given) -> Uncertain:
    """Stroke [m]: as typed, of the sheet, or its typical range.

    Raises
    ------
    InputError : as `require_stroke_in_length`.
    """
    stroke = given.uncertain("stroke")
    if given.known("stroke") and given.known("marked_length"):
        length = given.uncertain("marked_length")
        require_stroke_in_length(stroke.nominal_value, length.nominal_value, "stroke")
    return stroke


def _more_than(amount: Uncertain, stroke: Uncertain) -> bool:
    beyond = amount - stroke
    return bool(beyond.nominal_value > SURE * beyond.std_dev + _RULER)


def travelled(given: Given, name: str) -> tuple[Uncertain, Uncertain]:
    """A reading [m] that is part of the stroke, and the stroke [m].

    Raises
    ------
    InputError : it is longer than the stroke; as `stroke_of`.
    """
    travel, stroke = given.uncertain(name), stroke_of(given)
    if _more_than(travel, stroke):
        raise InputError(
            f"{render(travel.nominal_value, 'mm')} cannot be: it is 0 mm to "
            f"{render(stroke.nominal_value, 'mm')}, because the shock ends at its stroke.",
            where=name,
            next_step="Measure again, and check the stroke.",
        )
    return travel, stroke


def shortfall(given: Given) -> tuple[Uncertain, Uncertain]:
    """How much shorter than marked the shock is, and its stroke [m]; negative: it is longer.

    Raises
    ------
    InputError : neither a length nor a shortfall was read; it is shorter, or longer, by more than
        its stroke; as `stroke_of`.
    """
    stroke = stroke_of(given)
    if given.has("shortfall"):
        where, short = "shortfall", given.uncertain("shortfall")
    elif given.has("length"):
        marked = given.uncertain("marked_length")
        where, short = "length", marked - given.uncertain("length")
    else:
        raise InputError(
            "Neither the length now nor the shortfall was read.",
            where="length",
            next_step="Measure eye to eye, unloaded, and give it as length.",
        )
    for amount, word in ((short, "short"), (-short, "too long")):
        if _more_than(amount, stroke):
            raise InputError(
                f"It cannot be {render(amount.nominal_value, 'mm')} {word}: that is more than its "
                f"whole stroke, {render(stroke.nominal_value, 'mm')}; a shock that moved further "
                "is in two pieces.",
                where=where,
                next_step="Measure eye to eye again and check the marked length and the stroke.",
            )
    return short, stroke


def marked_maximum(given: Given) -> Uncertain | None:
    """Marked maximum [Pa gauge], as typed or of the sheet; None where nobody knows it."""
    return given.uncertain("maximum") if given.known("maximum") else None


def require_within_maximum(gauge: float, maximum: float, where: str) -> None:
    """Raise where a `gauge` [Pa] is beyond anything that a can marked with `maximum` [Pa] holds.

    Raises
    ------
    InputError : three times the maximum and more.
    """
    if gauge > _BURST * maximum:
        raise InputError(
            f"{render(gauge, 'psi')} beside a marked maximum of {render(maximum, 'psi')} cannot "
            f"be: it is 0 psi to {render(_BURST * maximum, 'psi')}, because a can bursts before.",
            where=where,
            next_step="Touch nothing; read the mark and the gauge again, each with its unit.",
        )


def against_maximum(
    given: Given, held: Iterable[Uncertain] = (), doubted: Collection[str] = ()
) -> tuple[float | None, tuple[str, ...]]:
    """Chance that a gauge pressure lies above the marked maximum, and the line that says so.

    The pressure furthest above counts: every gauge that was read, what the chamber `held` before
    the hose filled, and what the rider usually sets, as typed or on the sheet. A reading that
    stands on the maximum has a chance of one half and is not above it.

    Parameters
    ----------
    held : pressures [Pa gauge] that follow from what was read.
    doubted : inputs that a gauge under test gave: of these only what was corrected counts, in
        `held`.

    Returns
    -------
    chance : 0..1, the errors of gauge and mark taken as normal; None where no maximum is known.
    line : empty where none is known.

    Raises
    ------
    InputError : as `require_within_maximum`.
    """
    maximum = marked_maximum(given)
    if maximum is None:
        return None, ()
    gauges = {
        name: given.uncertain(name)
        for name, taken in given.taken.items()
        if KINDS[taken.kind].dimension == "pressure" and name not in {"maximum", *doubted}
    }
    for name, gauge in gauges.items():
        require_within_maximum(gauge.nominal_value, maximum.nominal_value, name)
    known = [*gauges.values(), *held]
    usual = {name for name, wanted in given.inputs.items() if wanted.sheet == _USUAL}
    if not usual & {*gauges, *doubted} and _USUAL in given.sheet:
        known.append(given.number(*given.from_sheet(_USUAL)))
    if not known:
        return None, ()
    above = [_beyond(gauge, maximum) for gauge in known]
    chance = max(0.5 * (1.0 + erf(z / sqrt(2.0))) for z in above)
    place = "above" if max(above) > 0 else "at" if max(above) == 0 else "below"
    said = render(float(maximum.nominal_value), "psi")
    return chance, (f"Marked maximum {said}: {place} it.",)


def _beyond(gauge: Uncertain, maximum: Uncertain) -> float:
    """How far a gauge lies above the maximum, in standard uncertainties of both."""
    excess = float(gauge.nominal_value - maximum.nominal_value)
    if abs(excess) < from_unit(0.01, "psi"):
        return 0.0  # the same figure, come through another unit
    return excess / hypot(float(gauge.std_dev), float(maximum.std_dev))
