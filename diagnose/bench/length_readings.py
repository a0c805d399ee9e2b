"""Bench quantities from ruler, scale, clock and fingers: lengths, forces, times, counts."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.bench import charge, setup
from diagnose.bench.evidence import (
    Inputs,
    Quantity,
    QuantityResult,
    ReadingSpec,
    Uncertain,
    rectangular,
)
from diagnose.bench.kinds import KINDS
from diagnose.bench.marked import MARKED, SHORTNESS, STROKE, shortfall, travelled
from diagnose.bench.units import from_unit, render
from diagnose.errors import InputError

__all__ = ["LENGTH_QUANTITIES"]

_DRAG = 20.0  # N, half-width of what seals add to or take from a force; common practice (no source)

_SAG = ReadingSpec("sag", "travel of the O-ring with the rider seated", "stroke length", "mm", 1.0)
_WANTED = ReadingSpec(
    "wanted", "sag wanted, as a share of the stroke", "percentage", "%", 0.1, optional=True
)


def _percent(value: Uncertain) -> str:
    spread = value.std_dev * 100
    places = 0 if spread >= 1.0 else 1
    return f"{value.nominal_value * 100:.{places}f} ± {spread:.{places}f} %"


def _shortfall_fraction(inputs: Inputs) -> QuantityResult:
    short, stroke = shortfall(inputs)
    share = short / stroke
    side = "Longer" if short.nominal_value < 0 else "Shorter"
    lines = (
        f"{side} than marked by {render(abs(short.nominal_value), 'mm')}.",
        f"Stroke {render(stroke.nominal_value, 'mm')}.",
        f"That is {_percent(share)} of the stroke.",
    )
    return inputs.result(share, "1", lines)


def _length_error(inputs: Inputs) -> QuantityResult:
    marked = inputs.reading_or_sheet("marked_length", "eye_to_eye_mm")
    length = inputs.reading("length")
    error = length - marked
    lines = (
        f"Measured eye to eye {render(length.nominal_value, 'mm')}.",
        f"Marked {render(marked.nominal_value, 'mm')}.",
        f"Difference {render(error.nominal_value, 'mm', error.std_dev)}.",
    )
    return inputs.result(error, "mm", lines, per_unit=1e-3)


def _sag_share(inputs: Inputs) -> tuple[Uncertain, tuple[str, str]]:
    travel, stroke = travelled(inputs, "sag")
    lines = (
        f"The O-ring moved {render(travel.nominal_value, 'mm')} under the rider.",
        f"Stroke {render(stroke.nominal_value, 'mm')}.",
    )
    return inputs.through(setup.sag, travel, stroke), lines


def _sag_percent(inputs: Inputs) -> QuantityResult:
    share, lines = _sag_share(inputs)
    return inputs.result(share, "%", (*lines, f"Sag {_percent(share)}."), per_unit=0.01)


def _sag_error(inputs: Inputs) -> QuantityResult:
    share, lines = _sag_share(inputs)
    wanted = inputs.reading_or_sheet("wanted", "wanted_sag_percent")
    error = share - wanted
    last = f"Sag {_percent(share)}, wanted {wanted.nominal_value * 100:.0f} %."
    return inputs.result(error, "%", (*lines, last), per_unit=0.01)


def _travel_used(inputs: Inputs) -> QuantityResult:
    used, stroke = travelled(inputs, "travel_used")
    share = used / stroke
    left = inputs.through(setup.reserve, used, stroke)
    lines = (
        f"The O-ring stands at {render(used.nominal_value, 'mm')} after the ride.",
        f"Stroke {render(stroke.nominal_value, 'mm')}: {render(left.nominal_value, 'mm')} left.",
        f"Used {_percent(share)} of the stroke.",
    )
    return inputs.result(share, "%", lines, per_unit=0.01)


def _shaft_force(inputs: Inputs) -> Uncertain:
    """Force of the gas on the shaft [N]; pushing in and coming out together cancel the drag."""
    pushing = inputs.reading("shaft_force")
    if inputs.has("force_returning"):
        returning = inputs.reading("force_returning")
        if returning.nominal_value > pushing.nominal_value + 2 * pushing.std_dev:
            raise InputError(
                "The shaft cannot push back harder than it was pushed in.",
                where="force_returning",
                next_step="Exchange the two readings, or take both again.",
            )
        return (pushing + returning) / 2.0
    inputs.assumptions.append(
        f"the force on the way out was not read: seal drag taken as within ± {_DRAG:.0f} N."
    )
    return pushing + inputs.number(0.0, rectangular(_DRAG))


def _shaft_force_n(inputs: Inputs) -> QuantityResult:
    force = _shaft_force(inputs)
    diameter = inputs.from_sheet("shaft_diameter_mm")
    implied = inputs.through(charge.charge_from_force, force, diameter)
    lines = (
        f"The shaft, air out, pushes with {render(force.nominal_value, 'N', force.std_dev)}.",
        f"Shaft {render(diameter.nominal_value, 'mm')}.",
        f"That is a charge of {render(implied.nominal_value, 'psi', implied.std_dev)}.",
    )
    return inputs.result(force, "N", lines)


def _shaft_force_ratio(inputs: Inputs) -> QuantityResult:
    force = _shaft_force(inputs)
    diameter = inputs.from_sheet("shaft_diameter_mm")
    expected = inputs.through(charge.shaft_force, inputs.from_sheet("charge_psi"), diameter)
    ratio = force / expected
    lines = (
        f"The shaft, air out, pushes with {render(force.nominal_value, 'N', force.std_dev)}.",
        f"With a full charge it would push with "
        f"{render(expected.nominal_value, 'N', expected.std_dev)}.",
        f"That is {_percent(ratio)} of it.",
    )
    return inputs.result(ratio, "1", lines)


def _as_read(name: str, unit: str, sentence: str) -> Callable[[Inputs], QuantityResult]:
    """Formula of a quantity that is the reading itself."""

    def formula(inputs: Inputs) -> QuantityResult:
        taken = inputs.readings[name]
        dimension = KINDS[taken.kind].dimension
        zero = from_unit(0.0, unit, dimension)
        scale = from_unit(1.0, unit, dimension) - zero
        said = render(taken.value, unit, taken.uncertainty, dimension)
        lines = (f"{sentence}: {said}.",)
        return QuantityResult((taken.value - zero) / scale, taken.uncertainty / scale, unit, lines)

    return formula


def _direct(
    id_: str, name: str, unit: str, possible: tuple[float, float], reading: ReadingSpec
) -> Quantity:
    sentence = f"{name[0].upper()}{name[1:]}"
    return Quantity(
        id_, name, unit, (reading,), (), _as_read(reading.name, unit, sentence), possible
    )


_FORCE_READINGS = (
    ReadingSpec(
        "shaft_force",
        "force to just push the shaft in, air out, full length",
        "hand force",
        "N",
        5.0,
    ),
    ReadingSpec(
        "force_returning", "force while it slowly comes back", "hand force", "N", 5.0, optional=True
    ),
)
_LENGTH_NOW = ReadingSpec("length", "eye-to-eye length, unloaded", "eye-to-eye length", "mm", 1.0)

LENGTH_QUANTITIES: tuple[Quantity, ...] = (
    Quantity(
        "shortfall_fraction",
        "shortfall as a share of the stroke",
        "1",
        (*SHORTNESS,),
        ("eye_to_eye_mm", "stroke_mm"),
        _shortfall_fraction,
        (-0.5, 1.0),
    ),
    Quantity(
        "length_error_mm",
        "measured length less marked length",
        "mm",
        (_LENGTH_NOW, MARKED),
        ("eye_to_eye_mm",),
        _length_error,
        (-100.0, 100.0),
    ),
    Quantity(
        "sag_percent",
        "sag",
        "%",
        (_SAG, STROKE),
        ("stroke_mm",),
        _sag_percent,
        (0.0, 100.0),
    ),
    Quantity(
        "sag_error_percent",
        "sag less the sag wanted",
        "%",
        (_SAG, STROKE, _WANTED),
        ("stroke_mm", "wanted_sag_percent"),
        _sag_error,
        (-100.0, 100.0),
    ),
    Quantity(
        "bottom_out_reserve",
        "stroke used on a ride",
        "%",
        (
            ReadingSpec(
                "travel_used", "where the O-ring stands after the ride", "stroke length", "mm", 1.0
            ),
            STROKE,
        ),
        ("stroke_mm",),
        _travel_used,
        (0.0, 100.0),
    ),
    Quantity(
        "shaft_force_n",
        "force of the charge on the shaft",
        "N",
        _FORCE_READINGS,
        ("shaft_diameter_mm",),
        _shaft_force_n,
        (0.0, 600.0),
    ),
    Quantity(
        "shaft_force_ratio",
        "force on the shaft against a full charge",
        "1",
        _FORCE_READINGS,
        ("shaft_diameter_mm", "charge_psi"),
        _shaft_force_ratio,
        (0.0, 4.0),
    ),
    _direct(
        "return_time_s",
        "time to come back to full length",
        "s",
        (0.0, 20.0),
        ReadingSpec("return_time", "time from full stroke to full length", "short time", "s", 0.3),
    ),
    _direct(
        "play_mm",
        "play",
        "mm",
        (0.0, 20.0),
        ReadingSpec("play", "movement felt at the eyelet", "play", "mm", 0.2),
    ),
    _direct(
        "temperature_c",
        "temperature",
        "C",
        (-30.0, 120.0),
        ReadingSpec("temperature", "temperature of the shock", "temperature", "C", 1.0),
    ),
    _direct(
        "torque_nm",
        "torque found",
        "N·m",
        (0.0, 120.0),
        ReadingSpec("torque", "torque at which the bolt just moves on", "torque", "N·m", 1.0),
    ),
    _direct(
        "lockout_sink_mm",
        "sink with the lockout on",
        "mm",
        (0.0, 100.0),
        ReadingSpec("sink", "how far it sinks under the rider in 30 s", "stroke length", "mm", 1.0),
    ),
    _direct(
        "knob_clicks",
        "clicks of the knob",
        "x",
        (0.0, 60.0),
        ReadingSpec("clicks", "clicks from closed to open", "clicks", "x", 1.0),
    ),
    _direct(
        "cable_travel_mm",
        "travel of the lockout cable",
        "mm",
        (0.0, 60.0),
        ReadingSpec("cable_travel", "cable travel at the shock", "cable travel", "mm", 0.5),
    ),
    _direct(
        "free_stroke_mm",
        "stroke without resistance",
        "mm",
        (0.0, 100.0),
        ReadingSpec(
            "free_stroke", "dead spot at the turn of a slow stroke", "stroke length", "mm", 0.5
        ),
    ),
)
