"""Where a job meets physics: what is known of the shock goes into its readings."""

from __future__ import annotations

import pytest

from diagnose.job.data_sheet import numbers_of
from diagnose.job.job_file import read_shock
from diagnose.job.measuring import measure_check
from diagnose.job.state import JobState
from tests.real_pack import shop_reasoner

KNOWLEDGE = shop_reasoner().knowledge


@pytest.mark.parametrize("maximum", ["300 psi", "20.684271879505 bar"])
def test_the_maximum_of_a_job_is_that_of_its_sheet(maximum: str) -> None:
    shock, _ = read_shock({"maximum_pressure": maximum}, KNOWLEDGE)
    assert numbers_of(shock, {}) == {"maximum_pressure_psi": pytest.approx(300.0)}


@pytest.mark.parametrize(
    ("gauge", "usual", "over"),
    [
        ("360 psi", "300 psi", True),
        ("340 psi", "150 psi", True),
        ("300 psi", "150 psi", False),
        ("280 psi", "150 psi", False),
    ],
)
def test_a_gauge_above_the_maximum_of_the_job_is_handed_on(
    gauge: str, usual: str, over: bool
) -> None:
    job = JobState(shock=read_shock({"maximum_pressure": "300 psi"}, KNOWLEDGE)[0])
    check = KNOWLEDGE.checks["bench_pressure_high"]
    found = measure_check(check, {"gauge": gauge, "usual_pressure": usual}, job).over_maximum
    assert found is not None
    assert found > 0.99 if over else found <= 0.5


def test_without_a_maximum_nothing_is_said() -> None:
    check = KNOWLEDGE.checks["bench_pressure_high"]
    readings = {"gauge": "340 psi", "usual_pressure": "150 psi"}
    assert measure_check(check, readings, JobState()).over_maximum is None


def test_a_maximum_read_with_the_gauge_counts_too() -> None:
    check = KNOWLEDGE.checks["bench_pressure_high"]
    readings = {"gauge": "340 psi", "usual_pressure": "150 psi", "maximum": "300 psi"}
    assert (measure_check(check, readings, JobState()).over_maximum or 0.0) > 0.99


def test_a_longer_shock_is_handed_on_below_zero() -> None:
    """230 mm marked, 236 mm measured, stroke 60 mm: -6/60."""
    check = KNOWLEDGE.checks["bench_length"]
    job = JobState(shock={"eye_to_eye_mm": 230.0, "stroke_mm": 60.0})
    assert measure_check(check, {"length": "236 mm"}, job).value == pytest.approx(-0.1)
