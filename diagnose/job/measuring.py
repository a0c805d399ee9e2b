"""Typed readings of a check become a bench quantity: the one place where a job meets physics."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from diagnose.bench import formulas
from diagnose.bench.decay import Decay, span_words
from diagnose.bench.formula import Result
from diagnose.bench.gauges import PUMP
from diagnose.bench.given import SURE, Input
from diagnose.bench.typed import Measured, with_unit
from diagnose.bench.units import from_unit
from diagnose.errors import InputError
from diagnose.job.data_sheet import numbers_of
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check, ReadingModel

__all__ = [
    "Measure",
    "Quantity",
    "check_readings",
    "measure_check",
    "measured_result",
    "spelled_out",
    "wanted_readings",
]


@dataclass(frozen=True)
class Quantity:
    """A computed bench quantity: value, standard uncertainty, unit, the arithmetic in words.

    ``over_maximum``: chance that a gauge that was read lies above the shock's marked maximum; None
    where no maximum is known. ``response``: as of a bench result. ``further``: value and
    uncertainty of its other values, by name.
    """

    value: float
    uncertainty: float
    unit: str
    lines: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    over_maximum: float | None = None
    response: Decay | None = None
    further: Mapping[str, tuple[float, float]] = field(default_factory=dict)


#: (check, readings as typed, job) -> quantity; given by the caller, physics stays in its room
Measure = Callable[[Check, Mapping[str, str], JobState], Quantity]


def spelled_out(check: Check, texts: Mapping[str, str]) -> dict[str, str]:
    """Readings as they are kept: a bare number with the unit that the check asked for."""
    units = {spec.name: spec.wanted_unit for spec in wanted_readings(check)}
    return {name: with_unit(text, units[name]) for name, text in texts.items()}


def wanted_readings(check: Check) -> tuple[Input, ...]:
    """The readings that a measuring check takes; empty for a check that is judged by eye."""
    if check.reading is None:
        return ()
    return formulas.measurable(check.reading.quantity).readings


def measured_result(
    check: Check, readings: Mapping[str, str], job: JobState
) -> tuple[Result, tuple[str, ...]]:
    """A check's quantity with its picture, and what is to be asked about the readings.

    Values of the shop's data sheet that the job carries are used; where they are missing, the
    result's assumptions say so.

    Raises
    ------
    InputError : a reading that cannot be understood or computed; names check and reading.
    """
    if check.reading is None:
        raise InputError("this check takes no readings.", where=check.id)
    try:
        measured = formulas.read_all(check.reading.quantity, readings)
        known = numbers_of(job.shock, job.sheet_values)
        before = _measured_before(check, measured, job)
        result = formulas.compute(check.reading.quantity, {**before, **measured}, known)
    except InputError as error:
        raise InputError(
            error.what, where=error.where or check.id, next_step=error.next_step
        ) from error
    notes = (*result.notes, *_too_short(check.reading, result))
    asked = tuple(m.question for m in measured.values() if m.question)
    return replace(result, notes=notes), asked


def _measured_before(
    check: Check, readings: Mapping[str, Measured], job: JobState
) -> dict[str, Measured]:
    """What other checks of this job measured for this one, with the same pump: never asked twice.

    Readings that cannot be computed give nothing here; they are told where they were taken.
    """
    assert check.reading is not None
    wanted = {w.name: w for w in formulas.measurable(check.reading.quantity).inputs if not w.asked}
    found: dict[str, Measured] = {}
    for report in job.reports.values():
        quantity = check.reading.uses.get(report.ask)
        if quantity is None or not report.readings:
            continue
        try:
            known = numbers_of(job.shock, job.sheet_values)
            taken = formulas.read_all(quantity, report.readings)
            if _pump(taken) != _pump(readings):
                continue
            values = formulas.compute(quantity, taken, known).values
        except InputError:
            continue
        for value in values:
            if value.name in wanted:
                number, spread = (
                    from_unit(v, value.unit) for v in (value.value, value.uncertainty)
                )
                found[value.name] = Measured(number, spread, wanted[value.name].kind)
    return found


def _pump(readings: Mapping[str, Measured]) -> float:
    return readings[PUMP.name].value if PUMP.name in readings else 1.0


def _too_short(reading: ReadingModel, result: Result) -> tuple[str, ...]:
    """Which states the time could not show, where none was shown, and how long each takes."""
    decay, least = result.response, SURE * result.uncertainty
    if decay is None or result.value > least or decay.start <= least:
        return ()
    waits = {
        state.replace("_", " "): decay.wait(least, pace.median)
        for state, pace in list(reading.rates.items())[1:]
    }
    hidden = [
        f"{state} (read again after {span_words(hours)})"
        for state, hours in waits.items()
        if hours > decay.hours
    ]
    if not hidden:
        return ()
    return (f"{span_words(decay.hours)} is too short to tell {' or '.join(hidden)} from none.",)


def measure_check(check: Check, readings: Mapping[str, str], job: JobState) -> Quantity:
    """A check's quantity as the belief takes it.

    Raises
    ------
    InputError : as `measured_result`.
    """
    result, questions = measured_result(check, readings, job)
    return Quantity(
        result.value,
        result.uncertainty,
        result.unit,
        tuple(result.lines),
        (*result.notes, *result.assumptions, *questions),
        result.over_maximum,
        result.response,
        {value.name: (value.value, value.uncertainty) for value in result.values[1:]},
    )


def check_readings(knowledge: Knowledge, job: JobState, measure: Measure) -> None:
    """Compute every reading of a job that is handed in whole.

    Raises
    ------
    InputError : readings that cannot be computed, with the check named.
    """
    for report in job.reports.values():
        check = knowledge.checks.get(report.ask)
        if report.readings and check is not None and check.reading is not None:
            measure(check, report.readings, job)
