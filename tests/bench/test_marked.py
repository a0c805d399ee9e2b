"""What is marked on the shock: too long, too short, above the maximum."""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist

import pytest

from diagnose.bench.formula import Result
from diagnose.bench.formulas import MEASURABLE, compute, read_all
from tests.bench.test_measurable import EXAMPLES, SHEET

GAUGES = {
    "unexplained_loss_psi": "before",
    "drop_per_reconnect_psi": "first",
    "pressure_ratio": "gauge",
    "gauge_error_percent": "shop",
}


def shortfall(sheet: dict[str, float] | None = None, **texts: str) -> Result:
    return compute("shortfall_fraction", read_all("shortfall_fraction", texts), sheet)


@pytest.mark.parametrize(
    ("length", "share"),
    [
        ("230 mm", 0.0),
        ("229 mm", 1 / 60),
        ("231 mm", -1 / 60),
        ("234.5 mm", -4.5 / 60),
        ("242 mm", -0.2),
        ("171 mm", 59 / 60),
    ],
)
def test_a_shock_that_stands_too_long_is_short_by_less_than_nothing(
    length: str, share: float
) -> None:
    """(230 - length)/60; a 1 mm ruler on the length, half-steps of 0.5 mm on the marks:
    u^2 = (1/sqrt(12))^2 + (0.5/sqrt(12))^2 for the difference, and the stroke's own share."""
    result = shortfall(length=length, marked_length="230.0 mm", stroke="60.0 mm")
    assert result.value == pytest.approx(share, abs=1e-9)
    difference = sqrt(1 / 12 + 0.25 / 12)
    by_hand = sqrt(difference**2 + (share * 0.5 / sqrt(12)) ** 2) / 60
    assert result.uncertainty == pytest.approx(by_hand, rel=1e-3)
    assert result.lines[0].startswith("Longer" if share < 0 else "Shorter")


def test_a_shortfall_with_a_minus_is_the_same_as_the_longer_length() -> None:
    typed = shortfall(shortfall="-4 mm", stroke="50 mm")
    measured = shortfall(SHEET, length="204 mm")
    assert typed.value == pytest.approx(-0.08) == measured.value


def test_each_quantity_that_reads_a_gauge_asks_for_the_maximum() -> None:
    asking = {id_ for id_, q in MEASURABLE.items() if "maximum" in {r.name for r in q.readings}}
    assert asking == set(GAUGES)
    for id_ in GAUGES:
        spec = MEASURABLE[id_].input("maximum")
        assert spec.optional
        assert spec.moment == MEASURABLE[id_].input(GAUGES[id_]).moment
        assert "maximum_pressure_psi" in {wanted.sheet for wanted in MEASURABLE[id_].inputs}


def with_maximum(id_: str, gauge: str, maximum: str, usual: float) -> Result:
    """The first gauge raised to `gauge`; air can and hose unknown."""
    texts = EXAMPLES[id_] | {GAUGES[id_]: gauge, "maximum": maximum}
    sheet = {"eye_to_eye_mm": 200.0, "stroke_mm": 50.0, "set_pressure_psi": usual}
    return compute(id_, read_all(id_, texts), sheet)


@pytest.mark.parametrize("id_", sorted(GAUGES))
@pytest.mark.parametrize("usual", [60.0, 150.0, 300.0, 360.0])
@pytest.mark.parametrize(
    ("gauge", "maximum"),
    [
        ("340 psi", "300 psi"),
        ("320 psi", "240 psi"),
        ("310 psi", "280 psi"),
        ("360 psi", "300 psi"),
        ("23.5 bar", "300 psi"),
    ],
)
def test_above_the_marked_maximum_whatever_is_usual(
    id_: str, usual: float, gauge: str, maximum: str
) -> None:
    result = with_maximum(id_, gauge, maximum, usual)
    assert result.over_maximum is not None
    assert result.over_maximum > 0.99
    assert f"Marked maximum {maximum}: above it." in result.lines


@pytest.mark.parametrize("id_", sorted(GAUGES))
@pytest.mark.parametrize(
    ("gauge", "most", "place"), [("300 psi", 0.5, "at"), ("280 psi", 0.001, "below")]
)
def test_at_the_maximum_is_not_above_it(id_: str, gauge: str, most: float, place: str) -> None:
    result = with_maximum(id_, gauge, "300 psi", usual=150.0)
    assert result.over_maximum is not None
    assert result.over_maximum <= most
    assert f"Marked maximum 300 psi: {place} it." in result.lines


def test_the_chance_is_that_of_the_normal_errors() -> None:
    """301 psi read in steps of 1 psi, 300 +- 1 psi on the sheet: u^2 = 1/12 + 1/3."""
    readings = read_all("pressure_ratio", {"gauge": "301 psi", "usual_pressure": "150 psi"})
    result = compute("pressure_ratio", readings, {"maximum_pressure_psi": 300.0})
    by_hand = NormalDist().cdf(1.0 / sqrt(1 / 12 + 1 / 3))
    assert result.over_maximum == pytest.approx(by_hand, rel=1e-6)


def test_what_the_hose_took_counts_where_can_and_hose_are_known() -> None:
    """295 psi with 3 cc of hose on 100 cc: it held 295 * 1.03 = 303.9 psi, above 300 psi."""
    texts = {"gauge": "295 psi", "usual_pressure": "150 psi", "maximum": "300 psi"}
    readings = read_all("pressure_ratio", texts)
    known = compute("pressure_ratio", readings, {"air_can_volume_cc": 100, "hose_volume_cc": 3})
    guessed = compute("pressure_ratio", readings, {"air_can_volume_cc": 100})
    assert known.over_maximum is not None and known.over_maximum > 0.99
    assert guessed.over_maximum is not None and guessed.over_maximum < 0.01


def test_a_setting_above_the_maximum_counts_though_the_gauge_is_low() -> None:
    typed = read_all("pressure_ratio", {"gauge": "120 psi", "usual_pressure": "340 psi"})
    of_sheet = read_all("pressure_ratio", {"gauge": "120 psi"})
    sheet = {"maximum_pressure_psi": 300.0, "set_pressure_psi": 340.0}
    for readings in (typed, of_sheet):
        assert (compute("pressure_ratio", readings, sheet).over_maximum or 0.0) > 0.99
    lower = read_all("pressure_ratio", {"gauge": "120 psi", "usual_pressure": "150 psi"})
    assert compute("pressure_ratio", lower, sheet).over_maximum == pytest.approx(0.0, abs=1e-9)


def test_the_maximum_read_goes_before_the_one_of_the_sheet() -> None:
    texts = {"gauge": "320 psi", "usual_pressure": "150 psi", "maximum": "350 psi"}
    result = compute("pressure_ratio", read_all("pressure_ratio", texts), SHEET)
    assert result.over_maximum == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("id_", sorted(EXAMPLES))
def test_no_maximum_known_or_no_gauge_read_says_nothing(id_: str) -> None:
    bare = {name: value for name, value in SHEET.items() if name != "maximum_pressure_psi"}
    readings = read_all(id_, EXAMPLES[id_])
    assert compute(id_, readings, bare).over_maximum is None
    assert (compute(id_, readings, SHEET).over_maximum is None) is (id_ not in GAUGES)
