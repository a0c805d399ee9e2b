"""What a data sheet may hold by its pack, and what it answers to the steps of the sheets."""

from __future__ import annotations

import pytest

from diagnose.bench.quantities import SHEET_FIELDS
from diagnose.errors import InputError
from diagnose.job.model_sheet import asked, asked_words, fields, read_value
from tests.real_pack import PACKS, pack_knowledge, shop_knowledge


@pytest.mark.parametrize("pack", PACKS)
def test_whatever_a_stage_sheet_asks_for_has_a_field(pack: str) -> None:
    knowledge = pack_knowledge(pack)
    sheet = knowledge.device.sheet
    values = {name: 1.0 if name in SHEET_FIELDS else "words" for name in fields(sheet)}
    asks = {a for s in knowledge.stages.values() for step in s.steps for a in step.asks_sheet}
    for ask in asks:
        assert asked(ask, values, sheet), ask
        assert asked(ask, {}, sheet) == ""


def test_a_pressure_without_its_unit_is_refused() -> None:
    with pytest.raises(InputError, match="unit"):
        read_value("charge_psi", "250", shop_knowledge().device.sheet)


def test_an_unknown_field_names_the_nearest() -> None:
    with pytest.raises(InputError) as caught:
        read_value("charge_pis", "250 psi", shop_knowledge().device.sheet)
    assert "charge_psi" in caught.value.next_step


def test_a_field_of_another_pack_is_none_of_this_one() -> None:
    coil = pack_knowledge("rear_coil_shock").device.sheet
    assert read_value("preload_turns", "1 to  3", coil) == "1 to 3"
    with pytest.raises(InputError):
        read_value("preload_turns", "1 to 3", shop_knowledge().device.sheet)
    with pytest.raises(InputError):
        read_value("air_can_volume_cc", "100 cc", coil)


def test_what_is_asked_for_is_said_in_the_words_of_its_first_value() -> None:
    sheet = shop_knowledge().device.sheet
    assert asked_words("maximum_pressure", sheet) == "marked maximum"
    assert asked_words("can_torque", sheet) == "torque of the air can"


def test_a_depth_without_its_datum_asks_for_it() -> None:
    sheet = shop_knowledge().device.sheet
    assert asked("ifp_depth_mm", {"ifp_depth_mm": 38.0}, sheet).endswith("______")
    assert asked("ifp_depth_mm", {"ifp_depth_mm": 38.0, "ifp_datum": "rim"}, sheet) == "38 mm, rim"
