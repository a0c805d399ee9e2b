"""The shop's data sheet in a job: values, units, blanks, and what they change."""

from __future__ import annotations

from diagnose.bench.data_sheet import numbers_of
from diagnose.bench.kinds import KINDS
from diagnose.bench.quantities import SHEET_FIELDS
from diagnose.job.facts import Facts
from diagnose.job.measuring import measured_result
from diagnose.job.state import JobState
from tests.reports.pages import knowledge

READINGS = {"before": "165 psi", "after": "140 psi", "elapsed": "30 min"}


def test_every_number_has_a_kind_that_can_be_typed() -> None:
    assert {spec.kind for spec in SHEET_FIELDS.values()} <= set(KINDS)


def test_what_the_job_says_of_the_shock_goes_before_the_sheet() -> None:
    sheet = {"stroke_mm": 55.0, "damper_bore_mm": 22.0}
    assert numbers_of({"stroke_mm": 50.0}, sheet) == {"stroke_mm": 50.0, "damper_bore_mm": 22.0}


def test_a_known_volume_narrows_a_reading_and_a_missing_one_is_said() -> None:
    check = knowledge().checks["bench_short_gauge"]
    bare, _ = measured_result(check, READINGS, JobState())
    sheet = {"air_can_volume_cc": 100.0, "hose_volume_cc": 3.0}
    known, _ = measured_result(check, READINGS, JobState(facts=Facts(sheet_values=sheet)))
    assert known.uncertainty < bare.uncertainty
    assert len(known.assumptions) < len(bare.assumptions)
