"""Two gauges on one shock, and the hose that a job has measured; reaches bench.gauges too."""

from __future__ import annotations

import pytest

from diagnose.bench.formula import Result
from diagnose.bench.formulas import compute, read_all

SHEET = {"air_can_volume_cc": 97.0, "hose_volume_cc": 3.0}  # a connection leaves 97 %


def compared(sheet: dict[str, float] | None = None, **texts: str) -> Result:
    return compute("gauge_error_percent", read_all("gauge_error_percent", texts), sheet or SHEET)


def test_one_way_the_hose_is_taken_off() -> None:
    """200 psi shown, 150 psi on the shop gauge after the hose: it held 150/0.97 = 154.6 psi, and
    200/154.6 is 29.3 % too much."""
    result = compared(rider="200 psi", shop="150 psi")
    assert result.value == pytest.approx(100.0 * (200 * 0.97 / 150 - 1.0), abs=1e-6)
    assert "29 ± " in result.lines[-1] and result.lines[-1].endswith("too much.")


def test_both_ways_round_the_hose_falls_out_of_the_sum() -> None:
    """A gauge that shows a tenth too much: (1.1 p, 0.97 p) and (p, 1.1 0.97 p), whatever hose."""
    ways = {"rider": "220 psi", "shop": "194 psi", "shop_first": "200 psi"}
    for hose in (1.0, 3.0, 8.0):
        sheet = {"air_can_volume_cc": 97.0, "hose_volume_cc": hose}
        result = compared(sheet, **ways, rider_after="213.4 psi")
        assert result.value == pytest.approx(10.0, abs=0.01)


def test_a_difference_within_what_both_can_be_off_is_none() -> None:
    result = compared(rider="180 psi", shop="174 psi", set_on_it="180 psi")
    assert "tells the truth" in result.lines[-1]
    assert not result.notes
    assert [value.name for value in result.values] == ["error"]


def test_what_the_shock_truly_held_is_told() -> None:
    """30 % too much on the gauge: set to 195 psi it held 150."""
    result = compared(rider="195 psi", shop="145.5 psi", set_on_it="195 psi")
    assert result.value == pytest.approx(30.0)
    assert "set to 195 psi on the rider's pump, the shock truly holds 150" in result.notes[0]
    (share,) = [value for value in result.values if value.name == "true_share"]
    assert share.value == pytest.approx(1.0 / 1.3)


@pytest.mark.parametrize(
    ("rider", "set_on_it", "over"),
    [
        ("120 psi", "260 psi", True),  # shows 120 of 150: 260 are 325 psi, above 300
        ("180 psi", "330 psi", False),  # shows 180 of 150: 330 are 275 psi, below 300
        ("150 psi", "320 psi", True),
        ("150 psi", "280 psi", False),
    ],
)
def test_what_it_truly_held_stands_against_the_marked_maximum(
    rider: str, set_on_it: str, over: bool
) -> None:
    result = compared(rider=rider, shop="145.5 psi", set_on_it=set_on_it, maximum="300 psi")
    assert result.over_maximum is not None
    assert (result.over_maximum > 0.9) is over
    assert (result.over_maximum < 0.1) is not over


def test_what_he_sets_stands_on_the_sheet_too() -> None:
    sheet = SHEET | {"set_pressure_psi": 330.0, "maximum_pressure_psi": 300.0}
    result = compared(sheet, rider="180 psi", shop="145.5 psi")
    assert result.over_maximum is not None and result.over_maximum < 0.1
    assert "set to 330 psi" in result.notes[0]


def test_a_measured_connection_goes_before_can_and_hose() -> None:
    """10 % measured: 153 psi on the shop gauge were 170, and 170 shown is right."""
    given = compared(rider="170 psi", shop="153 psi", connection="10 %")
    guessed = compared(rider="170 psi", shop="153 psi")
    assert given.value == pytest.approx(0.0, abs=1e-6)
    assert guessed.value > 5.0
    assert "10.0 % of the pressure, as measured on this job" in given.assumptions[0]
    loss = {"before": "200 psi", "after": "180 psi", "elapsed": "9 h", "connection": "10 %"}
    result = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", loss))
    assert result.value == pytest.approx(0.0, abs=1e-6)


def test_each_connection_leaves_the_same_share() -> None:
    """200 x 0.9 = 180, x 0.9 = 162: a tenth each, though the drops are 20 and 18 psi."""
    readings = {"first": "200 psi", "second": "180 psi", "third": "162 psi"}
    result = compute("drop_per_reconnect_psi", read_all("drop_per_reconnect_psi", readings))
    values = {value.name: value.value for value in result.values}
    assert values["connection"] == pytest.approx(10.0)
    assert "share_of_reported" not in values


def test_the_drop_stands_against_what_the_rider_reports() -> None:
    readings = {"first": "180 psi", "second": "171 psi", "reported": "10 psi"}
    result = compute("drop_per_reconnect_psi", read_all("drop_per_reconnect_psi", readings))
    values = {value.name: value.value for value in result.values}
    assert values["share_of_reported"] == pytest.approx(0.9)
    assert "the rider reports 10 psi, of which that is 90 ±" in result.lines[-1]
