"""What cannot be is never computed: an absurd value for every reading, and absurd pairs."""

from __future__ import annotations

import pytest

from diagnose.bench.formulas import MEASURABLE, compute, read_all
from diagnose.errors import InputError
from tests.bench.test_measurable import EXAMPLES, SHEET

# Reading -> values that no shock, instrument or person gives, in the unit and in a wrong one.
ABSURD: dict[str, list[str]] = {
    "before": ["99999 psi", "-1 psi", "165 bar", "650 psi"],
    "after": ["99999 psi", "-14 psi", "128 bar", "1e9 psi"],
    "gauge": ["99999 psi", "-1 psi", "300 bar", "30 MPa"],
    "first": ["99999 psi", "-5 psi", "165 bar"],
    "second": ["99999 psi", "-5 psi", "160 bar"],
    "third": ["99999 psi", "-5 psi", "155 bar"],
    "usual_pressure": ["99999 psi", "0 psi", "-160 psi", "165 bar", "1 psi"],
    "maximum": ["99999 psi", "0 psi", "-300 psi", "300 bar", "20 psi"],
    "elapsed": ["-2 h", "99999 h", "400 d", "3 y"],
    "temperature_before": ["-300 C", "999 C", "-70 C", "500 F"],
    "temperature_after": ["-300 C", "999 C", "293 C", "0 K"],
    "reconnections": ["-1", "999"],
    "altitude_before": ["99999 m", "-4000 m", "30000 ft"],
    "altitude_after": ["99999 m", "-4000 m"],
    "length": ["9999 mm", "0 mm", "-200 mm", "200 cm", "5 mm"],
    "marked_length": ["9999 mm", "0 mm", "-200 mm", "200 in"],
    "new_length": ["9999 mm", "0 mm", "-150 mm", "150 in", "15 mm"],
    "free_length": ["9999 mm", "0 mm", "-147 mm", "147 in", "14.7 mm"],
    "shortfall": ["9999 mm", "-9999 mm", "43 cm", "200 mm"],
    "stroke": ["9999 mm", "0 mm", "-50 mm", "50 cm", "3 mm"],
    "travel_left": ["9999 mm", "-15 mm", "15 in", "150 mm"],
    "sag": ["9999 mm", "-15 mm", "15 in", "150 mm"],
    "sink": ["9999 mm", "-12 mm", "12 in"],
    "free_stroke": ["9999 mm", "-3 mm", "30 cm"],
    "shaft_force": ["99999 N", "-140 N", "140 kN", "900 kg"],
    "force_returning": ["99999 N", "-130 N", "130 kN"],
    "return_time": ["99999 s", "-1 s", "5 h"],
    "play": ["9999 mm", "-1 mm", "5 in"],
    "shaft": ["9999 mm", "0 mm", "-10 mm", "10 in"],
    "charge": ["99999 psi", "-250 psi", "250 bar"],
    "reported": ["99999 psi", "-10 psi", "100 bar"],
    "pump": ["0", "-1", "999"],
    "rider": ["99999 psi", "-5 psi", "165 bar"],
    "shop": ["99999 psi", "-5 psi", "160 bar"],
    "shop_first": ["99999 psi", "-5 psi", "165 bar"],
    "rider_after": ["99999 psi", "-5 psi", "160 bar"],
    "set_on_it": ["99999 psi", "0 psi", "-160 psi", "165 bar", "1 psi"],
    "clicks": ["9999", "-1", "101"],
    "cable_travel": ["9999 mm", "-7 mm", "7 in"],
}


def test_every_reading_has_absurd_values_here() -> None:
    names = {spec.name for entry in MEASURABLE.values() for spec in entry.readings}
    assert set(ABSURD) == names


@pytest.mark.parametrize(
    ("id_", "name"),
    [(id_, spec.name) for id_ in sorted(MEASURABLE) for spec in MEASURABLE[id_].readings],
)
def test_an_absurd_reading_is_refused_with_what_can_be_and_why(id_: str, name: str) -> None:
    for text in ABSURD[name]:
        with pytest.raises(InputError) as caught:
            read_all(id_, EXAMPLES[id_] | {name: text})
        assert caught.value.where == name
        assert caught.value.next_step
        if "e9" not in text:
            assert f"{text} cannot be: " in caught.value.what
            assert " to " in caught.value.what and ", because " in caught.value.what


PAIRS = [
    # a gain that only a pump explains, and no time between
    ("unexplained_loss_psi", {"before": "100 psi", "after": "200 psi"}, {}, "higher than"),
    ("unexplained_loss_psi", {"elapsed": "0 h"}, {}, "not later"),
    ("drop_per_reconnect_psi", {"second": "190 psi"}, {}, "rose"),
    ("drop_per_reconnect_psi", {"second": "150 psi", "third": "160 psi"}, {}, "rose"),
    # no air in it, no ratio of two gauges
    ("gauge_error_percent", {"shop": "5 psi"}, {}, "too little to compare"),
    (
        "gauge_error_percent",
        {"rider": "500 psi", "shop": "500 psi"},
        {"maximum_pressure_psi": 160.0},
        "0 psi to 480 psi",
    ),
    # the shock ends at its stroke, both ways
    ("shortfall_fraction", {"length": "140 mm"}, {}, "cannot be 60 mm short"),
    ("shortfall_fraction", {"length": "260 mm"}, {}, "cannot be 60 mm too long"),
    ("sag_percent", {"sag": "55 mm"}, {}, "0 mm to 50 mm, because the shock ends"),
    ("travel_left_percent", {"travel_left": "55 mm"}, {}, "0 mm to 50 mm, because the shock"),
    # the body takes the shaft in: a stroke is less than half the length
    ("shortfall_fraction", {"stroke": "100 mm"}, {}, "less than 100 mm, because the body"),
    ("sag_percent", {"stroke": "105 mm"}, {}, "less than 100 mm, because the body"),
    # nothing gives back more than it got
    ("shaft_force_ratio", {"force_returning": "200 N"}, {}, "push back harder"),
    # 3 x 160 = 480 psi: before that a can has burst
    ("pressure_ratio", {"gauge": "500 psi", "maximum": "160 psi"}, {}, "0 psi to 480 psi"),
    ("drop_per_reconnect_psi", {"maximum": "50 psi"}, {}, "0 psi to 150 psi"),
    # the sheet is no better than a person
    ("shaft_force_ratio", {}, {"shaft_diameter_mm": 100.0}, "shaft diameter is 4 mm to 30 mm"),
    ("pressure_ratio", {}, {"air_can_volume_cc": 1e5}, "chambers of rear shocks"),
    ("sag_percent", {}, {"stroke_mm": 500.0}, "25 to 90 mm"),
]


@pytest.mark.parametrize(("id_", "change", "sheet", "says"), PAIRS)
def test_readings_that_cannot_be_together_are_refused(
    id_: str, change: dict[str, str], sheet: dict[str, float], says: str
) -> None:
    readings = read_all(id_, EXAMPLES[id_] | change)
    with pytest.raises(InputError) as caught:
        compute(id_, readings, SHEET | sheet)
    assert says in caught.value.what
    assert caught.value.where and caught.value.next_step
