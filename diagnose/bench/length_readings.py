"""What readings come to from ruler, scale, clock and fingers: lengths, forces, times, counts."""

from __future__ import annotations

from dataclasses import replace

from diagnose.bench import charge, setup
from diagnose.bench.formula import Formula, Outcome
from diagnose.bench.given import Given, Input, Uncertain, rectangular
from diagnose.bench.kinds import KINDS
from diagnose.bench.marked import MARKED, SHORTNESS, STROKE, shortfall, travelled
from diagnose.bench.units import render
from diagnose.errors import InputError

__all__ = ["LENGTH_READINGS"]

_DRAG = 20.0  # N, half-width of what seals add to or take from a force; common practice (no source)

_SAG = Input(
    "sag", "travel of the O-ring with the rider seated", "stroke length", unit="mm", resolution=1.0
)

_LEFT = Input(
    "travel_left",
    "way from the O-ring to the stop, pushed in with the air out",
    "stroke length",
    unit="mm",
    resolution=1.0,
)


def _percent(value: Uncertain) -> str:
    spread = value.std_dev * 100
    places = 0 if spread >= 1.0 else 1
    return f"{value.nominal_value * 100:.{places}f} ± {spread:.{places}f} %"


def _shortfall_fraction(given: Given) -> Outcome:
    short, stroke = shortfall(given)
    share = short / stroke
    side = "Longer" if short.nominal_value < 0 else "Shorter"
    lines = (
        f"{side} than marked by {render(abs(short.nominal_value), 'mm')}.",
        f"Stroke {render(stroke.nominal_value, 'mm')}.",
        f"That is {_percent(share)} of the stroke.",
    )
    return Outcome(lines, (("shortfall", share, "1", "ratio"),))


def _length_error(given: Given) -> Outcome:
    marked = given.uncertain("marked_length")
    length = given.uncertain("length")
    error = length - marked
    lines = (
        f"Measured eye to eye {render(length.nominal_value, 'mm')}.",
        f"Marked {render(marked.nominal_value, 'mm')}.",
        f"Difference {render(error.nominal_value, 'mm', error.std_dev)}.",
    )
    return Outcome(lines, (("error", error, "mm", "length"),))


def _spring_set(given: Given) -> Outcome:
    new, now = given.uncertain("new_length"), given.uncertain("free_length")
    lost = new - now
    side = "Longer" if lost.nominal_value < 0 else "Shorter"
    lines = (
        f"The coil stands {render(now.nominal_value, 'mm')} long.",
        f"New it was {render(new.nominal_value, 'mm')}.",
        f"{side} than new by {render(abs(lost.nominal_value), 'mm', lost.std_dev)}.",
    )
    return Outcome(lines, (("set", lost, "mm", "length"),))


def _sag_percent(given: Given) -> Outcome:
    travel, stroke = travelled(given, "sag")
    share = given.through(setup.sag, travel, stroke)
    lines = (
        f"The O-ring moved {render(travel.nominal_value, 'mm')} under the rider.",
        f"Stroke {render(stroke.nominal_value, 'mm')}.",
        f"Sag {_percent(share)}.",
    )
    return Outcome(lines, (("sag", share, "%", "ratio"),))


def _travel_left_percent(given: Given) -> Outcome:
    left, stroke = travelled(given, "travel_left")
    share = left / stroke
    lines = (
        f"The O-ring stopped {render(left.nominal_value, 'mm')} before the end.",
        f"Stroke {render(stroke.nominal_value, 'mm')}.",
        f"That is {_percent(share)} never used.",
    )
    return Outcome(lines, (("left", share, "%", "ratio"),))


def _shaft_force(given: Given) -> Uncertain:
    """Force of the gas on the shaft [N]; pushing in and coming out together cancel the drag."""
    pushing = given.uncertain("shaft_force")
    if given.has("force_returning"):
        returning = given.uncertain("force_returning")
        if returning.nominal_value > pushing.nominal_value + 2 * pushing.std_dev:
            raise InputError(
                "The shaft cannot push back harder than it was pushed in.",
                where="force_returning",
                next_step="Exchange the two readings, or take both again.",
            )
        return (pushing + returning) / 2.0
    given.assumptions.append(
        f"the force on the way out was not read: seal drag taken as within ± {_DRAG:.0f} N."
    )
    return pushing + given.number(0.0, rectangular(_DRAG))


def _shaft_force_ratio(given: Given) -> Outcome:
    force = _shaft_force(given)
    diameter = given.uncertain("shaft")
    expected = given.through(charge.shaft_force, given.uncertain("charge"), diameter)
    ratio = force / expected
    unknown = [name for name in ("charge", "shaft") if not given.known(name)]
    guessed = f", {' and '.join(unknown)} taken as typical" if unknown else ""
    lines = (
        f"The shaft, air out, pushes with {render(force.nominal_value, 'N', force.std_dev)}.",
        f"With a full charge it would push with "
        f"{render(expected.nominal_value, 'N', expected.std_dev)}{guessed}.",
        f"That is {_percent(ratio)} of it.",
    )
    return Outcome(lines, (("ratio", ratio, "1", "ratio"),))


def _direct(name: str, text: str, possible: tuple[float, float], reading: Input) -> Formula:
    """A formula that is the reading itself."""
    dimension, unit = KINDS[reading.kind].dimension, reading.unit
    sentence = f"{text[0].upper()}{text[1:]}"

    def work(given: Given) -> Outcome:
        taken = given.uncertain(reading.name)
        said = render(taken.nominal_value, unit, taken.std_dev, dimension)
        return Outcome((f"{sentence}: {said}.",), ((reading.name, taken, unit, dimension),))

    return Formula(name, text, (reading,), work, "the reading itself", unit, possible)


_FORCE_READINGS = (
    Input(
        "shaft_force",
        "force to just push the shaft in, air out, full length",
        "hand force",
        unit="N",
        resolution=5.0,
    ),
    Input(
        "force_returning",
        "force while it slowly comes back",
        "hand force",
        default="",
        unit="N",
        resolution=5.0,
    ),
)
_LENGTH_NOW = Input(
    "length", "eye-to-eye length, unloaded", "eye-to-eye length", unit="mm", resolution=1.0
)

LENGTH_READINGS: tuple[Formula, ...] = (
    Formula(
        "shortfall_fraction",
        "shortfall as a share of the stroke",
        SHORTNESS,
        _shortfall_fraction,
        "definition",
        "1",
        (-0.5, 1.0),
    ),
    Formula(
        "length_error_mm",
        "measured length less marked length",
        (_LENGTH_NOW, MARKED),
        _length_error,
        "definition",
        "mm",
        (-100.0, 100.0),
    ),
    Formula(
        "spring_set_mm",
        "length that a coil spring has lost",
        (
            Input(
                "new_length",
                "free length of the coil when new",
                "spring length",
                unit="mm",
                resolution=1.0,
            ),
            Input(
                "free_length",
                "free length of the coil, off the shock",
                "spring length",
                unit="mm",
                resolution=1.0,
            ),
        ),
        _spring_set,
        "definition",
        "mm",
        (-30.0, 60.0),
    ),
    Formula(
        "sag_percent",
        "sag",
        (_SAG, STROKE, replace(MARKED, asked=False)),
        _sag_percent,
        "definition",
        "%",
        (0.0, 100.0),
    ),
    Formula(
        "travel_left_percent",
        "travel that was never used",
        (_LEFT, STROKE, replace(MARKED, asked=False)),
        _travel_left_percent,
        "definition",
        "%",
        (0.0, 100.0),
    ),
    Formula(
        "shaft_force_ratio",
        "force on the shaft against a full charge",
        (
            *_FORCE_READINGS,
            Input(
                "shaft",
                "diameter of the damper shaft, from its sheet",
                "shaft diameter",
                sheet="shaft_diameter_mm",
                typical=True,
                unit="mm",
                resolution=0.1,
            ),
            Input(
                "charge",
                "gas charge, from its sheet",
                "charge pressure",
                sheet="charge_psi",
                typical=True,
                unit="psi",
                resolution=5.0,
            ),
        ),
        _shaft_force_ratio,
        "physics: pressure on the shaft's section",
        "1",
        (0.0, 4.0),
    ),
    _direct(
        "return_time_s",
        "time to come back to full length",
        (0.0, 20.0),
        Input(
            "return_time",
            "time from full stroke to full length",
            "short time",
            unit="s",
            resolution=0.3,
        ),
    ),
    _direct(
        "play_mm",
        "play",
        (0.0, 20.0),
        Input("play", "movement felt at the eyelet", "play", unit="mm", resolution=0.2),
    ),
    _direct(
        "lockout_sink_mm",
        "sink with the lockout on",
        (0.0, 100.0),
        Input(
            "sink",
            "how far it sinks under the rider in 30 s",
            "stroke length",
            unit="mm",
            resolution=1.0,
        ),
    ),
    _direct(
        "knob_clicks",
        "clicks of the knob",
        (0.0, 60.0),
        Input("clicks", "clicks from closed to open", "clicks", unit="x", resolution=1.0),
    ),
    _direct(
        "cable_travel_mm",
        "travel of the lockout cable",
        (0.0, 60.0),
        Input(
            "cable_travel", "cable travel at the shock", "cable travel", unit="mm", resolution=0.5
        ),
    ),
    _direct(
        "free_stroke_mm",
        "stroke without resistance",
        (0.0, 100.0),
        Input(
            "free_stroke",
            "dead spot at the turn of a slow stroke",
            "stroke length",
            unit="mm",
            resolution=0.5,
        ),
    ),
)
