"""Bench quantities: from what was typed to one number, its uncertainty and a few lines.

Reaches bench.length_readings and bench.pressure_readings too, and bench.formula.
"""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.bench import gas
from diagnose.bench.formulas import MEASURABLE, compute, measurable, read_all
from diagnose.bench.given import Ambient
from diagnose.bench.kinds import KINDS
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.bench.typed import Measured
from diagnose.bench.units import find_unit, from_unit
from diagnose.errors import InputError

PSI = 6894.757293168361
SHEET = {
    "air_can_volume_cc": 100.0,
    "hose_volume_cc": 3.0,
    "stroke_mm": 50.0,
    "eye_to_eye_mm": 200.0,
    "shaft_diameter_mm": 10.0,
    "charge_psi": 250.0,
    "set_pressure_psi": 174.0,
    "maximum_pressure_psi": 300.0,
    "wanted_sag_percent": 30.0,
}
# One plausible answer for each quantity.
EXAMPLES = {
    "unexplained_loss_psi": {
        "before": "165 psi",
        "after": "128 psi",
        "elapsed": "14 h",
        "temperature_before": "20 C",
        "temperature_after": "5 C",
    },
    "drop_per_reconnect_psi": {"first": "165 psi", "second": "160 psi", "third": "155 psi"},
    "pressure_ratio": {"gauge": "120 psi"},
    "shortfall_fraction": {"length": "157 mm"},
    "length_error_mm": {"length": "198 mm"},
    "spring_set_mm": {"new_length": "152 mm", "free_length": "147 mm"},
    "sag_percent": {"sag": "15 mm"},
    "travel_left_percent": {"travel_left": "18 mm"},
    "gauge_error_percent": {"rider": "180 psi", "shop": "150 psi"},
    "shaft_force_ratio": {"shaft_force": "70 N", "force_returning": "60 N"},
    "return_time_s": {"return_time": "1,4 s"},
    "play_mm": {"play": "0.5 mm"},
    "lockout_sink_mm": {"sink": "12 mm"},
    "knob_clicks": {"clicks": "9"},
    "cable_travel_mm": {"cable_travel": "7 mm"},
    "free_stroke_mm": {"free_stroke": "3 mm"},
}


def test_every_quantity_has_an_example_here() -> None:
    assert set(EXAMPLES) == set(MEASURABLE)


@pytest.mark.parametrize("id_", sorted(EXAMPLES))
def test_each_quantity_is_whole(id_: str) -> None:
    entry = MEASURABLE[id_]
    assert entry.name == id_
    find_unit(entry.unit)
    for spec in entry.readings:
        find_unit(spec.unit, KINDS[spec.kind].dimension)
        assert spec.text and spec.resolution is not None and spec.resolution >= 0.0
    assert {wanted.sheet for wanted in entry.inputs} <= {*SHEET_FIELDS, ""}


@pytest.mark.parametrize("id_", sorted(EXAMPLES))
@pytest.mark.parametrize("sheet", [SHEET, {"eye_to_eye_mm": 200.0}], ids=["sheet", "no sheet"])
def test_each_quantity_gives_a_number_with_uncertainty(id_: str, sheet: dict[str, float]) -> None:
    result = compute(id_, read_all(id_, EXAMPLES[id_]), sheet)
    assert math.isfinite(result.value)
    assert 0.0 < result.uncertainty < math.inf
    assert result.unit == MEASURABLE[id_].unit
    assert 1 <= len(result.lines) - (result.over_maximum is not None) <= 3
    if sheet is SHEET:
        assert not [text for text in result.assumptions if "data sheet" in text]


@pytest.mark.parametrize("id_", sorted(EXAMPLES))
def test_a_missing_sheet_never_makes_a_result_surer(id_: str) -> None:
    readings = read_all(id_, EXAMPLES[id_])
    known = compute(id_, readings, SHEET)
    guessed = compute(id_, readings, {"eye_to_eye_mm": 200.0})
    # The value itself moves with the stand-in, so what grows is the relative uncertainty.
    assert guessed.uncertainty / abs(guessed.value) >= 0.99 * known.uncertainty / abs(known.value)
    used = {wanted.sheet for wanted in MEASURABLE[id_].inputs if wanted.typical}
    assert len([text for text in guessed.assumptions if "data sheet" in text]) == len(used)


def test_the_parts_of_an_overnight_loss() -> None:
    """165 psi at 20 C: at 5 C a tight shock shows (165 + 14.696) * 278.15/293.15 - 14.696
    = 155.81; the hose takes 3/103 of it: 151.27; read 128: unexplained 23.27 psi."""
    result = compute(
        "unexplained_loss_psi",
        read_all("unexplained_loss_psi", EXAMPLES["unexplained_loss_psi"]),
        SHEET,
    )
    assert result.value == pytest.approx(23.27, abs=0.01)
    assert 0.3 < result.uncertainty < 2.0
    assert "real leak" in result.lines[-1]
    assert result.picture is not None
    assert result.picture.series[0][1][-1] == pytest.approx((14.0, 128.0))


def test_the_uncertainty_is_that_of_the_law_of_propagation() -> None:
    """No hose worth naming, temperatures known: u^2 = (T2/T1 u1)^2 + u2^2 + (p1/T1)^2 (uT2^2 +
    (T2/T1)^2 uT1^2) and the needle's own, by hand after GUM 5.1.2."""
    texts = {
        "before": "165 psi ± 1 psi",
        "after": "160 psi ± 1 psi",
        "elapsed": "10 h",
        "temperature_before": "20 C ± 1 C",
        "temperature_after": "20 C ± 1 C",
        "reconnections": "0",
    }
    readings = read_all("unexplained_loss_psi", texts)
    result = compute("unexplained_loss_psi", readings, SHEET)
    u, kelvin = 1 / math.sqrt(3.0), 293.15
    pressure = 165 + gas.STANDARD_PRESSURE / PSI
    needle = 1.5  # psi: what two readings of a tight shock differ by
    by_hand = math.sqrt(2 * u**2 + 2 * (pressure / kelvin * u) ** 2 + needle**2)
    assert result.uncertainty == pytest.approx(by_hand, rel=1e-4)


@given(st.floats(80, 250), st.floats(250, 320), st.floats(250, 320), st.integers(0, 3))
def test_a_tight_shock_shows_no_leak(start: float, warm: float, cold: float, times: int) -> None:
    there = gas.gauge_elsewhere(start * PSI, warm, cold)
    second = gas.after_connecting(there, 100e-6, 3e-6, times)
    readings = {
        "before": Measured(start * PSI, PSI / 3, "air pressure"),
        "after": Measured(second, PSI / 3, "air pressure"),
        "elapsed": Measured(36000.0, 60.0, "elapsed time"),
        "temperature_before": Measured(warm, 0.3, "temperature"),
        "temperature_after": Measured(cold, 0.3, "temperature"),
        "reconnections": Measured(float(times), 0.0, "clicks"),
    }
    result = compute("unexplained_loss_psi", readings, SHEET)
    assert result.value == pytest.approx(0.0, abs=1e-6)
    assert "no leak shown" in result.lines[-1]


def test_climbing_is_explained() -> None:
    """Sea level to 2000 m raises a gauge by 3.17 psi; without it the loss looks smaller."""
    base = EXAMPLES["unexplained_loss_psi"]
    climbed = {**base, "altitude_before": "0 m", "altitude_after": "2000 m"}
    plain = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", base), SHEET)
    high = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", climbed), SHEET)
    assert high.value - plain.value == pytest.approx(3.17 * 100 / 103, abs=0.01)
    assert "altitude -3 psi" in high.lines[1]


def test_a_gauge_coarser_than_the_effect_says_so() -> None:
    texts = {"before": "165 psi ± 5 psi", "after": "158 psi ± 5 psi", "elapsed": "10 min"}
    result = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", texts), SHEET)
    assert abs(result.value) < 2 * result.uncertainty
    assert "no leak shown by this test" in result.lines[-1]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"elapsed": "0 h"}, "not later than the first"),
        ({"after": "190 psi"}, "higher than temperature, altitude and hose can explain"),
        ({"altitude_before": "200 m"}, "Only one altitude"),
    ],
)
def test_readings_that_cannot_be_true_together_are_refused(
    change: dict[str, str], says: str
) -> None:
    texts = {**EXAMPLES["unexplained_loss_psi"], **change}
    readings = read_all("unexplained_loss_psi", texts)
    with pytest.raises(InputError, match=says) as caught:
        compute("unexplained_loss_psi", readings, SHEET)
    assert caught.value.next_step
    assert readings["before"].text == "165 psi"


def test_a_reading_below_a_vacuum_is_refused_even_in_si() -> None:
    readings = read_all("unexplained_loss_psi", EXAMPLES["unexplained_loss_psi"])
    readings["after"] = Measured(-1.1e5, 2e3, "air pressure")
    with pytest.raises(InputError, match="less than a vacuum"):
        compute("unexplained_loss_psi", readings, SHEET)


def test_one_temperature_alone_widens_the_result() -> None:
    both = EXAMPLES["unexplained_loss_psi"]
    one = {name: text for name, text in both.items() if name != "temperature_after"}
    known = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", both), SHEET)
    guess = compute("unexplained_loss_psi", read_all("unexplained_loss_psi", one), SHEET)
    assert guess.uncertainty > known.uncertainty
    assert "a temperature was not noted" in guess.assumptions[0]


def test_pushing_and_returning_cancel_the_drag() -> None:
    """(140 + 130)/2 = 135 N against 135.4 N; one direction alone is far less sure."""
    texts = {"shaft_force": "140 N", "force_returning": "130 N"}
    both = compute("shaft_force_ratio", read_all("shaft_force_ratio", texts), SHEET)
    pushed = read_all("shaft_force_ratio", {"shaft_force": "140 N"})
    one = compute("shaft_force_ratio", pushed, SHEET)
    assert both.value == pytest.approx(135.0 / 135.378, rel=1e-4)
    assert one.uncertainty > 3 * both.uncertainty
    backwards = {"shaft_force": "100 N", "force_returning": "150 N"}
    with pytest.raises(InputError, match="push back harder"):
        compute("shaft_force_ratio", read_all("shaft_force_ratio", backwards), SHEET)


@pytest.mark.parametrize(
    ("id_", "value"),
    [
        ("return_time_s", 1.4),
        ("play_mm", 0.5),
        ("lockout_sink_mm", 12.0),
        ("knob_clicks", 9.0),
        ("cable_travel_mm", 7.0),
        ("free_stroke_mm", 3.0),
        ("sag_percent", 30.0),
        ("travel_left_percent", 36.0),
        ("shortfall_fraction", 0.86),
        ("length_error_mm", -2.0),
        ("spring_set_mm", 5.0),
        ("drop_per_reconnect_psi", 5.0),
        ("pressure_ratio", 120 * 1.03 / 174),
    ],
)
def test_simple_quantities_by_hand(id_: str, value: float) -> None:
    result = compute(id_, read_all(id_, EXAMPLES[id_]), SHEET)
    assert result.value == pytest.approx(value, rel=1e-5)


def test_a_direct_reading_has_the_uncertainty_of_its_step() -> None:
    result = compute("play_mm", read_all("play_mm", {"play": "0.5 mm"}))
    assert result.uncertainty == pytest.approx(0.2 / math.sqrt(12.0))


def test_the_air_of_the_bench_matters_for_a_vacuum_only() -> None:
    texts = EXAMPLES["unexplained_loss_psi"]
    readings = read_all("unexplained_loss_psi", texts)
    low = compute("unexplained_loss_psi", readings, SHEET, Ambient(pressure=8e4))
    sea = compute("unexplained_loss_psi", readings, SHEET)
    assert low.value == pytest.approx(sea.value, abs=0.2)


def test_mistakes_name_a_way_on() -> None:
    with pytest.raises(InputError, match="unexplained_loss_psi") as caught:
        measurable("unexplained_loss")
    assert caught.value.next_step
    with pytest.raises(InputError, match="no input of sag"):
        read_all("sag_percent", {"sagg": "12 mm"})
    with pytest.raises(InputError, match="still needs: after, elapsed"):
        compute("unexplained_loss_psi", read_all("unexplained_loss_psi", {"before": "165 psi"}))
    with pytest.raises(InputError, match="must be a length"):
        compute("play_mm", {"play": Measured(1.0, 0.1, "temperature")})
    with pytest.raises(InputError, match="must be above zero"):
        compute("sag_percent", read_all("sag_percent", {"sag": "12 mm"}), {"stroke_mm": 0.0})
    with pytest.raises(InputError, match="marked eye-to-eye length is not known"):
        compute("length_error_mm", read_all("length_error_mm", {"length": "198 mm"}))


def test_a_sheet_value_is_true_within_its_stated_width() -> None:
    written = {"%": "percent", "mm2/s": "mm2_s", "N·m": "nm"}
    for name, field in SHEET_FIELDS.items():
        assert name.endswith(written.get(field.unit, field.unit))
        assert from_unit(1.0, field.unit, KINDS[field.kind].dimension) > 0
        assert field.typical is None or field.width > field.known


def test_listing_the_quantities_loads_nothing_heavy() -> None:
    code = (
        "import sys; import diagnose.bench.formulas; "
        "heavy = {'uncertainties', 'numpy', 'scipy', 'pydantic', 'networkx'} & set(sys.modules); "
        "print(sorted(heavy))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


# Slow drawing is a busy machine, not a fault.
@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(sorted(MEASURABLE)), st.data())
def test_any_believable_readings_give_a_result_or_a_clear_refusal(
    id_: str, data: st.DataObject
) -> None:
    readings = {}
    for spec in MEASURABLE[id_].readings:
        if spec.optional and data.draw(st.booleans()):
            continue
        kind = KINDS[spec.kind]
        low, high = (from_unit(end, kind.unit, kind.dimension) for end in (kind.low, kind.high))
        value = data.draw(st.floats(low, high) | st.sampled_from([low, high]))
        readings[spec.name] = Measured(value, data.draw(st.floats(0, (high - low) / 10)), spec.kind)
    try:
        result = compute(id_, readings, data.draw(st.sampled_from([{}, SHEET])))
    except InputError as error:
        assert error.what and error.next_step
    else:
        assert math.isfinite(result.value) and math.isfinite(result.uncertainty)
        assert all(line.endswith(".") and "nan" not in line for line in result.lines)


def test_a_gauge_below_the_usual_shows_the_weaker_spring() -> None:
    """Force over stroke: at every stroke 90 psi carries less than 165 psi."""
    readings = read_all("pressure_ratio", {"gauge": "90 psi", "usual_pressure": "165 psi"})
    picture = compute("pressure_ratio", readings).picture
    assert picture is not None
    (_, found), (_, usual) = picture.series
    assert [x for x, _ in found] == [x for x, _ in usual]
    assert all(low < high for (_, low), (_, high) in zip(found[1:], usual[1:], strict=True))
