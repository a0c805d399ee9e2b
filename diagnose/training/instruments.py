"""What the instruments show when a bench quantity has a given value: physics run backwards.

Rules
-----
- One reading of each quantity is free; it is found by bisection on the bench's own equation, so
  that whoever types the readings into a job gets the same quantity back.
- The others are those of an ordinary bench: 18 degrees, the usual pressure, one connection.
- Readings come in steps of the instrument, as a person reads them off.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.bench import formulas
from diagnose.bench.decay import Decay
from diagnose.bench.formula import Result
from diagnose.bench.given import Input
from diagnose.bench.kinds import KINDS
from diagnose.bench.sheet_fields import SHEET_FIELDS

__all__ = ["answering", "shown"]

#: marked length where it is not known [mm]: common practice (no source); a sheet has none typical
_LENGTH = 210.0

#: free length of a new spring [mm]: common practice (no source); nobody keeps it on a sheet
_NEW_SPRING = 150.0

#: halvings of a range; less than a thousandth of an instrument's step is left
_HALVINGS = 24


@dataclass(frozen=True)
class _Layout:
    """How a quantity is measured: the free reading, its range, and the readings beside it."""

    free: str
    low: float
    high: float
    beside: tuple[tuple[str, str], ...] = ()


def _layout(quantity: str, known: Mapping[str, object], hours: float) -> _Layout:
    usual = _number(known.get("usual pressure"), _typical("usual pressure"))
    stroke = _number(known.get("stroke"), _typical("stroke"))
    length = _number(known.get("eye-to-eye length"), _LENGTH)
    night = (
        ("before", f"{usual:.0f} psi"),
        ("elapsed", f"{hours:g} h"),
        ("temperature_before", "18 C"),
        ("temperature_after", "18 C"),
        ("reconnections", "1"),
    )
    own = {
        "unexplained_loss_psi": _Layout("after", 0.0, usual, night),
        "drop_per_reconnect_psi": _Layout("second", 0.0, usual, (("first", f"{usual:.0f} psi"),)),
        "pressure_ratio": _Layout(
            "gauge", 0.0, 3.0 * usual, (("usual_pressure", f"{usual:.0f} psi"),)
        ),
        "shortfall_fraction": _Layout(
            "shortfall", -0.5 * stroke, stroke, (("stroke", f"{stroke:g} mm"),)
        ),
        "sag_percent": _Layout("sag", 0.0, stroke, (("stroke", f"{stroke:g} mm"),)),
        "travel_left_percent": _Layout("travel_left", 0.0, stroke, (("stroke", f"{stroke:g} mm"),)),
        "length_error_mm": _Layout(
            "length", length - 40.0, length + 40.0, (("marked_length", f"{length:g} mm"),)
        ),
        "spring_set_mm": _Layout(
            "free_length",
            _NEW_SPRING - 60.0,
            _NEW_SPRING + 30.0,
            (("new_length", f"{_NEW_SPRING:g} mm"),),
        ),
        "shaft_force_ratio": _Layout(
            "shaft_force", 0.0, 500.0, _of_its_sheet("shaft_force_ratio", known)
        ),
        "gauge_error_percent": _Layout("rider", 0.0, 5.0 * usual, (("shop", f"{usual:.0f} psi"),)),
    }
    if quantity in own:
        return own[quantity]
    direct = formulas.measurable(quantity)
    low, high = direct.possible or (0.0, 0.0)
    return _Layout(direct.readings[0].name, low, high)


def _of_its_sheet(quantity: str, known: Mapping[str, object]) -> tuple[tuple[str, str], ...]:
    """The readings that a bench looks up on the shock's own sheet, such as this has."""
    return tuple(
        (wanted.name, f"{_number(known.get(wanted.kind), _typical(wanted.kind)):g} {wanted.unit}")
        for wanted in formulas.measurable(quantity).readings
        if wanted.typical
    )


def _typical(kind: str) -> float:
    return next((spec.typical or 0.0 for spec in SHEET_FIELDS.values() if spec.kind == kind), 0.0)


def _number(value: object, otherwise: float) -> float:
    return float(value) if isinstance(value, (int, float)) and value > 0 else otherwise


def answering(quantity: str, known: Mapping[str, object], hours: float) -> tuple[Decay, float]:
    """What an ordinary bench shows of a rate in that time, and with which uncertainty.

    Raises
    ------
    InputError : as `shown`.
    """
    layout = _layout(quantity, known, hours)
    spec = formulas.measurable(quantity).input(layout.free)
    result = _computed(quantity, _texts(layout, spec, layout.high))
    assert result.response is not None, f"{quantity}: read once, it answers to no rate"
    return result.response, result.uncertainty


def _texts(layout: _Layout, spec: Input, reading: float) -> dict[str, str]:
    number = f"{reading:.9f}".rstrip("0").rstrip(".")
    typed = f"{number} {spec.unit}".removesuffix(" x")
    return {layout.free: typed, **dict(layout.beside)}


def _computed(quantity: str, texts: Mapping[str, str]) -> Result:
    return formulas.compute(quantity, formulas.read_all(quantity, texts))


def shown(
    quantity: str, value: float, known: Mapping[str, object], hours: float = 12.0
) -> dict[str, str]:
    """Readings, as a person would type them, of a quantity that has this value.

    Parameters
    ----------
    value : in the quantity's own unit; beyond what the instruments can show, the end of their
    range. known : kind of quantity -> number of the shock, in the unit of the kind. hours : time
    waited.

    Raises
    ------
    InputError : no such quantity, or it cannot be computed for this shock.

    >>> shown("play_mm", 0.43, {})
    {'play': '0.4 mm'}
    >>> shown("sag_percent", 30.0, {"stroke": 50.0})
    {'sag': '15 mm', 'stroke': '50 mm'}
    """
    layout = _layout(quantity, known, hours)
    spec = formulas.measurable(quantity).input(layout.free)
    kind = KINDS[spec.kind]

    def texts(reading: float) -> dict[str, str]:
        return _texts(layout, spec, reading)

    def computed(reading: float) -> float:
        return _computed(quantity, texts(reading)).value

    low, high = max(layout.low, kind.floor), min(layout.high, kind.ceiling)
    rising = computed(high) > computed(low)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if (computed(middle) < value) == rising:
            low = middle
        else:
            high = middle
    # A small length is read by a finer rule than its spec asks for; a tenth keeps it above 0.
    fine = layout.high <= 100.0 and spec.unit != "x"
    coarse = spec.resolution or 0.1
    step = min(coarse, 0.1) if fine else coarse
    reading = round(round(0.5 * (low + high) / step) * step, 6)
    return texts(reading)
