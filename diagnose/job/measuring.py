"""Typed readings of a check become a bench quantity: the one place where a job meets physics."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diagnose.bench import formulas
from diagnose.bench.formula import Result
from diagnose.bench.given import Input
from diagnose.errors import InputError
from diagnose.job.data_sheet import numbers_of
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check

__all__ = [
    "Measure",
    "Quantity",
    "check_readings",
    "measure_check",
    "measured_result",
    "wanted_readings",
    "with_unit",
]


@dataclass(frozen=True)
class Quantity:
    """A computed bench quantity: value, standard uncertainty, unit, the arithmetic in words.

    ``over_maximum``: chance that a gauge that was read lies above the shock's marked maximum; None
    where no maximum is known.
    """

    value: float
    uncertainty: float
    unit: str
    lines: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    over_maximum: float | None = None


#: (check, readings as typed, job) -> quantity; given by the caller, physics stays in its room
Measure = Callable[[Check, Mapping[str, str], JobState], Quantity]


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
        result = formulas.compute(check.reading.quantity, measured, known)
    except InputError as error:
        raise InputError(
            error.what, where=error.where or check.id, next_step=error.next_step
        ) from error
    return result, tuple(m.question for m in measured.values() if m.question)


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
        (*result.assumptions, *questions),
        result.over_maximum,
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


def with_unit(typed: str, unit: str) -> str:
    """A typed value with the unit that was asked for, unless it names one.

    >>> with_unit("165", "psi"), with_unit("11.4 bar", "psi"), with_unit("-3,5", "mm")
    ('165 psi', '11.4 bar', '-3,5 mm')
    """
    text = " ".join(typed.split())
    named = any(sign.isalpha() or sign in "%°" for sign in text)
    return text if named else f"{text} {unit}".strip()
