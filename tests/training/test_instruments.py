"""What the instruments show gives the quantity back."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.bench import formulas
from diagnose.training.instruments import shown
from tests.real_pack import PACKS, pack_knowledge

#: quantity, its value, how far the instrument's step may move it
_KINDS = [
    ("unexplained_loss_psi", 30.0, 1.0),
    ("drop_per_reconnect_psi", 9.0, 1.0),
    ("pressure_ratio", 0.8, 0.01),
    ("shortfall_fraction", 0.3, 0.01),
    ("sag_percent", 31.0, 0.2),
    ("travel_left_percent", 36.0, 0.2),
    ("length_error_mm", -4.0, 1.0),
    ("spring_set_mm", 4.0, 1.0),
    ("shaft_force_ratio", 0.5, 0.05),
    ("return_time_s", 1.3, 0.1),
    ("play_mm", 0.6, 0.1),
    ("knob_clicks", 12.0, 1.0),
    ("free_stroke_mm", 2.4, 0.1),
]


@pytest.mark.parametrize(("quantity", "value", "step"), _KINDS)
def test_readings_compute_back_to_the_value(quantity: str, value: float, step: float) -> None:
    texts = shown(quantity, value, {"usual pressure": 165.0, "stroke": 55.0})
    found = formulas.compute(quantity, formulas.read_all(quantity, texts)).value
    assert abs(found - value) <= step


@pytest.mark.parametrize("pack", PACKS)
def test_every_quantity_that_a_check_reads_can_be_shown(pack: str) -> None:
    for check in pack_knowledge(pack).checks.values():
        if check.reading is not None:
            for spread in check.reading.states.values():
                assert shown(check.reading.quantity, spread.mean, {}), check.id


@settings(max_examples=15)
@given(st.floats(0.0, 100.0), st.floats(120.0, 250.0))
def test_a_loss_reads_as_that_loss_at_any_pressure(loss: float, usual: float) -> None:
    texts = shown("unexplained_loss_psi", loss, {"usual pressure": usual})
    taken = formulas.read_all("unexplained_loss_psi", texts)
    assert formulas.compute("unexplained_loss_psi", taken).value == pytest.approx(loss, abs=1.0)


def test_what_no_instrument_can_show_stops_at_its_end() -> None:
    assert shown("pressure_ratio", -3.0, {"usual pressure": 160.0})["gauge"] == "0 psi"
