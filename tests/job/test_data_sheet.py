"""The shop's data sheet in a job: values, units, blanks, and what they change."""

from __future__ import annotations

import doctest

import pytest

from diagnose.bench.kinds import KINDS
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.errors import InputError
from diagnose.job import data_sheet
from diagnose.job.data_sheet import asked, numbers_of, read_value, values_in
from diagnose.job.facts import Facts
from diagnose.job.measuring import measured_result
from diagnose.job.state import JobState
from tests.reports.pages import knowledge

HELD = knowledge().device.sheet
READINGS = {"before": "165 psi", "after": "140 psi", "elapsed": "30 min"}


def test_the_examples_in_the_text_hold() -> None:
    tried = doctest.testmod(data_sheet)
    assert tried.attempted > 0
    assert tried.failed == 0


def test_every_number_has_a_kind_that_can_be_typed() -> None:
    assert {spec.kind for spec in SHEET_FIELDS.values()} <= set(KINDS)


def test_whatever_a_stage_sheet_asks_for_has_a_field() -> None:
    asks = {a for s in knowledge().stages.values() for step in s.steps for a in step.asks_sheet}
    for ask in asks:
        values = {name: 1.0 if name in SHEET_FIELDS else "words" for name in values_in(HELD)}
        assert asked(ask, values, HELD), ask
        assert asked(ask, {}, HELD) == ""


def test_a_pressure_without_its_unit_is_refused() -> None:
    with pytest.raises(InputError, match="unit"):
        read_value("charge_psi", "250", HELD)


def test_an_unknown_field_names_the_nearest() -> None:
    with pytest.raises(InputError) as caught:
        read_value("charge_pis", "250 psi", HELD)
    assert "charge_psi" in caught.value.next_step


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


def test_a_depth_without_its_datum_asks_for_it() -> None:
    assert asked("ifp_depth_mm", {"ifp_depth_mm": 38.0}, HELD).endswith("______")
