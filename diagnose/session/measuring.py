"""Typed readings of a check become a bench quantity: the one place where a job meets physics."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.bench import quantities
from diagnose.errors import InputError
from diagnose.knowledge.models import Check
from diagnose.session.evidence import Quantity
from diagnose.session.state import JobState

__all__ = ["measure_check", "wanted_readings"]

#: shock fields of a job that are sheet values under another name
_SHEET = {
    "set_pressure": "set_pressure_psi",
    "maximum_pressure": "maximum_pressure_psi",
    "stroke_mm": "stroke_mm",
    "eye_to_eye_mm": "eye_to_eye_mm",
    "shaft_diameter_mm": "shaft_diameter_mm",
    "air_can_volume_cc": "air_can_volume_cc",
}


def wanted_readings(check: Check) -> tuple[quantities.ReadingSpec, ...]:
    """The readings that a measuring check takes; empty for a check that is judged by eye."""
    if check.reading is None:
        return ()
    return quantities.quantity(check.reading.quantity).readings


def measure_check(check: Check, readings: Mapping[str, str], job: JobState) -> Quantity:
    """Compute a check's quantity.

    Raises
    ------
    InputError : a reading that cannot be understood or computed; names check and reading.
    """
    if check.reading is None:
        raise InputError("this check takes no readings.", where=check.id)
    sheet = {
        field: float(job.shock[name])
        for name, field in _SHEET.items()
        if isinstance(job.shock.get(name), (int, float))
    }
    try:
        measured = quantities.read_all(check.reading.quantity, readings)
        result = quantities.compute(check.reading.quantity, measured, sheet)
    except InputError as error:
        raise InputError(
            error.what, where=error.where or check.id, next_step=error.next_step
        ) from error
    questions = tuple(m.question for m in measured.values() if m.question)
    return Quantity(
        result.value,
        result.uncertainty,
        result.unit,
        tuple(result.lines),
        (*result.assumptions, *questions),
    )
