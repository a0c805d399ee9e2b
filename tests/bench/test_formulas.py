"""Calculations by name: each runs on an example, says its defaults, and refuses with a way on.

Reaches bench.air_formulas, bench.damper_formulas, bench.spring_formulas and bench.formula too.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.bench.formulas import FORMULAS, MEASURABLE, calculate, formula
from diagnose.bench.given import Input
from diagnose.bench.kinds import KINDS
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.errors import InputError

#: what a person asks for by itself; what checks name is in test_measurable
CALCULATIONS = {name: entry for name, entry in FORMULAS.items() if name not in MEASURABLE}

# Inputs, and one result of each worked by hand or known from the outside check values.
EXAMPLES: dict[str, tuple[dict[str, str], str, float]] = {
    "elsewhere": ({"gauge": "200 psi", "temperature_after": "-10 C"}, "gauge", 178.0287),
    "hose": ({"gauge": "250 psi", "volume": "13.5717 cc"}, "left", 204.742),
    "compress": ({"gauge": "12 bar", "ratio": "2", "exponent": "1"}, "gauge", 362.783),
    "leak": (
        {
            "before": "165 psi",
            "after": "128 psi",
            "elapsed": "14 h",
            "limit": "100 psi",
            "temperature_after": "5 C",
        },
        "unexplained",
        23.267,
    ),
    "leak-limit": ({"gauge": "200 psi", "elapsed": "10 min"}, "smallest_leak", 0.583),
    "bubble": ({"diameter": "3 mm", "period": "10 s"}, "rate", 0.084823),
    "stuck": (
        {"gauge": "150 psi", "shortfall": "43 mm", "usual": "174 psi", "maximum": "300 psi"},
        "negative_gauge",
        335.5,
    ),
    "energy": ({"gauge": "12 bar"}, "sudden", 168.45),
    "sag": (
        {"mass": "80 kg", "leverage": "2.5", "set_pressure": "165 psi"},
        "set_pressure",
        139.168,
    ),
    "spring": ({"set_pressure": "12 bar", "used": "25 mm"}, "force", 1929.0),
    "leverage": ({"wheel_travel": "125 mm"}, "leverage", 2.5),
    "charge": (
        {
            "charge": "250 psi",
            "depth": "30 mm",
            "bore": "24 mm",
            "shaft": "10 mm",
            "stroke": "50 mm",
        },
        "compression_ratio",
        1.40717,
    ),
    "shaft-force": ({"force": "135.378 N", "shaft": "10 mm"}, "charge", 250.0),
    "cavitation": (
        {
            "charge": "250 psi",
            "bore": "24 mm",
            "shaft": "10 mm",
            "speed": "0.5 m/s",
            "orifice": "6 mm2",
        },
        "speed_limit",
        0.72768,
    ),
    "gas-in-oil": ({"share": "5 %", "charge": "250 psi", "bore": "24 mm"}, "lost", 2.8334),
    "oil": (
        {"at_40": "15 mm2/s", "at_100": "3.6 cSt", "temperature": "-10 C"},
        "viscosity",
        175.802,
    ),
    "oil-expansion": ({"bore": "24 mm"}, "gained", 1.68),
    "crowfoot": ({"torque": "250 in-lbf", "angle": "0 deg"}, "setting", 24.9231),
    "preload": ({"torque": "5 Nm", "diameter": "5 mm", "pitch": "0.8 mm"}, "preload", 5000.0),
    "o-ring": (
        {
            "section": "3.53 mm",
            "inner_diameter": "24.99 mm",
            "groove_diameter": "25.8 mm",
            "gap": "3.05 mm",
            "width": "4.8 mm",
        },
        "section",
        3.48,
    ),
}


def test_every_calculation_has_an_example_here() -> None:
    assert set(EXAMPLES) == set(CALCULATIONS)


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_each_calculation_gives_the_value_worked_by_hand(name: str) -> None:
    texts, key, want = EXAMPLES[name]
    result = calculate(name, texts)
    values = {value.name: value.value for value in result.values}
    assert values[key] == pytest.approx(want, rel=1e-3)
    assert all(math.isfinite(value) for value in values.values())
    assert 1 <= len(result.lines) <= 3
    assert not result.questions


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_each_default_taken_is_told(name: str) -> None:
    texts, _, _ = EXAMPLES[name]
    defaults = [e for e in formula(name).inputs if (e.default or e.typical) and e.name not in texts]
    assert len(calculate(name, texts).assumptions) == len(defaults)


def test_the_data_sheet_answers_before_the_default_and_after_the_person() -> None:
    """300 cc and a 3 cc hose: 200 * 300/303 = 198.02 psi."""
    sheet = {"air_can_volume_cc": 300.0}
    result = calculate("hose", {"gauge": "200 psi"}, sheet)
    assert result.values[0].value == pytest.approx(198.02, abs=0.01)
    assert "air can volume: 300 cc, from the data sheet" in result.assumptions
    typed = calculate("hose", {"gauge": "200 psi", "volume": "100 cc"}, sheet)
    assert typed.values[0].value == pytest.approx(200 * 100 / 103)


def test_what_the_shop_must_know_is_never_invented() -> None:
    """Depth, bore and charge have no default: the message says that the sheet may hold them."""
    with pytest.raises(InputError, match="charge, depth, bore, shaft, stroke") as caught:
        calculate("charge", {})
    assert "data sheet" in caught.value.next_step
    sheet = {
        "charge_psi": 250.0,
        "ifp_depth_mm": 30.0,
        "damper_bore_mm": 24.0,
        "shaft_diameter_mm": 10.0,
        "stroke_mm": 50.0,
    }
    assert calculate("charge", {}, sheet).values[1].value == pytest.approx(1.40717, rel=1e-4)


def test_every_sheet_field_named_by_an_input_exists() -> None:
    for entry in CALCULATIONS.values():
        for wanted in entry.inputs:
            assert not wanted.sheet or wanted.sheet in SHEET_FIELDS


def test_weather_replaces_altitude_where_a_barometer_was_read() -> None:
    """1000 hPa to 980 hPa: a tight shock shows 20 hPa = 0.29 psi more."""
    texts = {"gauge": "200 psi", "barometer_before": "1000 hPa", "barometer_after": "980 mbar"}
    result = calculate("elsewhere", texts)
    assert result.values[0].value == pytest.approx(200.29, abs=0.001)


def test_a_tight_shock_has_no_half_life() -> None:
    texts = {
        "before": "165 psi",
        "after": "165 psi",
        "elapsed": "14 h",
        "limit": "100 psi",
        "reconnections": "0",
    }
    assert "No leak is left" in calculate("leak", texts).lines[-1]
    # 1 psi and 0 C twice: the rest is rounding, and once divided by zero.
    texts |= {
        "before": "1 psi",
        "after": "1 psi",
        "temperature_before": "0 C",
        "temperature_after": "0 C",
    }
    assert "No leak is left" in calculate("leak", texts).lines[-1]


def test_the_choice_of_words_follows_the_verdict() -> None:
    base = {"gauge": "5 psi", "shortfall": "43 mm", "usual": "174 psi", "maximum": "300 psi"}
    assert "within the usual pressure" in calculate("stuck", base).lines[-1]
    assert (
        "usual pressure: do not open" in calculate("stuck", {**base, "gauge": "50 psi"}).lines[-1]
    )
    assert (
        "marked maximum: do not open" in calculate("stuck", {**base, "gauge": "150 psi"}).lines[-1]
    )


def test_a_hardly_true_input_is_asked_about() -> None:
    result = calculate("energy", {"gauge": "30 bar"})
    assert "Was 30 psi meant?" in result.questions[0]


@pytest.mark.parametrize(
    ("name", "entry"),
    [(name, entry) for name in sorted(CALCULATIONS) for entry in CALCULATIONS[name].inputs],
    ids=lambda part: part if isinstance(part, str) else part.name,
)
@pytest.mark.parametrize("number", ["99999999", "-99999999"])
def test_an_absurd_input_is_refused_with_what_can_be(name: str, entry: Input, number: str) -> None:
    unit = KINDS[entry.kind].unit.removesuffix("1")
    with pytest.raises(InputError, match="because") as caught:
        calculate(name, EXAMPLES[name][0] | {entry.name: f"{number} {unit}"})
    assert caught.value.where == entry.name
    assert caught.value.next_step


def test_a_gauge_many_times_the_marked_maximum_is_refused() -> None:
    """Three times 180 psi is 540 psi: 560 psi cannot be."""
    texts = {"gauge": "560 psi", "shortfall": "43 mm", "usual": "174 psi", "maximum": "180 psi"}
    with pytest.raises(InputError, match="0 psi to 540 psi, because a can bursts"):
        calculate("stuck", texts)


@pytest.mark.parametrize(
    ("name", "texts", "says"),
    [
        ("hoze", {}, "there is no calculation"),
        ("hose", {"gage": "1 psi"}, "no input of hose"),
        ("hose", {}, "still needs: gauge"),
        ("hose", {"gauge": "lots"}, "does not begin with a number"),
        (
            "stuck",
            {"gauge": "5 psi", "shortfall": "60 mm", "usual": "174 psi", "maximum": "300 psi"},
            "shorter than its whole stroke",
        ),
        (
            "stuck",
            {"gauge": "5 psi", "shortfall": "3 mm", "usual": "174 psi", "maximum": "300 psi"},
            "says nothing about trapped gas",
        ),
        (
            "leak",
            {"before": "165 psi", "after": "128 psi", "elapsed": "0 h", "limit": "100 psi"},
            "not later",
        ),
    ],
)
def test_mistakes_name_a_way_on(name: str, texts: dict[str, str], says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        calculate(name, texts)
    assert caught.value.next_step


def test_pictures_come_with_a_description() -> None:
    for name in ("leak", "stuck", "sag", "spring"):
        picture = calculate(name, EXAMPLES[name][0]).picture
        assert picture is not None
        assert picture.description.endswith(".")
        assert all(len(points) >= 2 for _, points in picture.series)


# Slow drawing is a busy machine, not a fault.
@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(sorted(CALCULATIONS)), st.data())
def test_any_believable_inputs_give_a_result_or_a_clear_refusal(
    name: str, data: st.DataObject
) -> None:
    texts = {}
    for entry in CALCULATIONS[name].inputs:
        kind = KINDS[entry.kind]
        value = data.draw(st.floats(kind.low, kind.high) | st.sampled_from([kind.low, kind.high]))
        texts[entry.name] = f"{value:.6f} {kind.unit}" if kind.unit != "1" else f"{value:.6f}"
    try:
        result = calculate(name, texts)
    except InputError as error:
        assert error.what and error.next_step
    else:
        assert all(math.isfinite(value.value) for value in result.values)
        assert not any("nan" in line for line in result.lines)
