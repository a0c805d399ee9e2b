"""Where a job meets physics: what is known of the shock goes into its readings."""

from __future__ import annotations

import pytest

from diagnose.job.data_sheet import numbers_of
from diagnose.job.events import Measured
from diagnose.job.job_file import read_shock
from diagnose.job.measuring import Quantity, measure_check
from diagnose.job.state import JobState, fold
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
    check = KNOWLEDGE.checks["bench_pressure"]
    found = measure_check(check, {"gauge": gauge, "usual_pressure": usual}, job).over_maximum
    assert found is not None
    assert found > 0.99 if over else found <= 0.5


def test_without_a_maximum_nothing_is_said() -> None:
    check = KNOWLEDGE.checks["bench_pressure"]
    readings = {"gauge": "340 psi", "usual_pressure": "150 psi"}
    assert measure_check(check, readings, JobState()).over_maximum is None


def test_a_maximum_read_with_the_gauge_counts_too() -> None:
    check = KNOWLEDGE.checks["bench_pressure"]
    readings = {"gauge": "340 psi", "usual_pressure": "150 psi", "maximum": "300 psi"}
    assert (measure_check(check, readings, JobState()).over_maximum or 0.0) > 0.99


def test_a_longer_shock_is_handed_on_below_zero() -> None:
    """230 mm marked, 236 mm measured, stroke 60 mm: -6/60."""
    check = KNOWLEDGE.checks["bench_length"]
    job = JobState(shock={"eye_to_eye_mm": 230.0, "stroke_mm": 60.0})
    assert measure_check(check, {"length": "236 mm"}, job).value == pytest.approx(-0.1)


NIGHT = {
    "before": "170 psi",
    "after": "153 psi",
    "elapsed": "12 h",
    "temperature_before": "20 C",
    "temperature_after": "20 C",
}
HOSE = {"first": "180 psi", "second": "162 psi"}


def of_job(ask: str, *taken: tuple[str, dict[str, str]]) -> Quantity:
    """What the readings of `ask` come to on a job on which all these were taken, in this order."""
    check = KNOWLEDGE.checks[ask]
    events = [Measured(ask=name, readings=readings, by="bench") for name, readings in taken]
    return measure_check(check, dict(taken)[ask], fold(events))


def test_a_hose_that_the_job_measured_is_taken_off_readings_before_and_after_it() -> None:
    """A connection takes 18 of 180 psi: 170 psi less a tenth are the 153 that were read."""
    night, hose = ("bench_overnight_gauge", NIGHT), ("bench_reconnect", HOSE)
    usual = of_job("bench_overnight_gauge", night)
    for order in ((night, hose), (hose, night)):
        measured = of_job("bench_overnight_gauge", *order)
        assert measured.value == pytest.approx(0.0, abs=1e-6)
        assert measured.uncertainty < usual.uncertainty
        assert any("measured on this job" in text for text in measured.warnings)
    assert usual.value > 10.0


def test_a_hose_says_nothing_of_another_pump() -> None:
    night, usual = (
        ("bench_overnight_gauge", NIGHT),
        of_job("bench_overnight_gauge", ("bench_overnight_gauge", NIGHT)),
    )
    other = of_job("bench_overnight_gauge", night, ("bench_reconnect", HOSE | {"pump": "2"}))
    assert other.value == usual.value
    both = ("bench_overnight_gauge", NIGHT | {"pump": "2 x"})
    same = of_job("bench_overnight_gauge", both, ("bench_reconnect", HOSE | {"pump": "2"}))
    assert same.value == pytest.approx(0.0, abs=1e-6)


def test_what_the_time_cannot_show_is_told_with_the_wait() -> None:
    held = NIGHT | {"after": "170 psi", "reconnections": "0"}
    short = of_job("bench_overnight_gauge", ("bench_overnight_gauge", held | {"elapsed": "15 min"}))
    told = [text for text in short.warnings if "too short to tell" in text]
    assert len(told) == 1 and "slow (read again after 9" in told[0] and "overnight (" in told[0]
    day = of_job("bench_overnight_gauge", ("bench_overnight_gauge", held | {"elapsed": "24 h"}))
    assert not [text for text in day.warnings if "too short" in text]
    lost = of_job(
        "bench_overnight_gauge",
        ("bench_overnight_gauge", held | {"elapsed": "15 min", "after": "140 psi"}),
    )
    assert not [text for text in lost.warnings if "too short" in text]
