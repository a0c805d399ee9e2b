"""Units: there and back again, aliases, and messages that name a way on."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench.units import DIMENSIONS, find_unit, from_unit, render, to_unit, units_of
from diagnose.errors import InputError

EVERY_UNIT = [(unit.symbol, dimension) for dimension, units in DIMENSIONS.items() for unit in units]


@given(st.sampled_from(EVERY_UNIT), st.floats(-1e6, 1e6))
def test_into_si_and_back_is_the_same_number(unit: tuple[str, str], value: float) -> None:
    symbol, dimension = unit
    back = to_unit(from_unit(value, symbol, dimension), symbol, dimension)
    assert back == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(st.sampled_from(EVERY_UNIT), st.floats(-1e5, 1e5), st.floats(1e-3, 1e5))
def test_a_larger_number_is_more_in_every_unit(
    unit: tuple[str, str], value: float, more: float
) -> None:
    assert from_unit(value + more, *unit) > from_unit(value, *unit)


def test_no_two_units_of_a_dimension_share_a_name() -> None:
    """A name with two meanings would change a value by a factor without a word."""
    for dimension, units in DIMENSIONS.items():
        for unit in units:
            for name in (unit.symbol, *unit.aliases):
                assert find_unit(name, dimension) == unit


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("Nm", "N·m"),
        ("in lb", "in-lbf"),
        ("IN-LBF", "in-lbf"),
        ("°C", "C"),
        ("PSI", "psi"),
        ("cSt", "mm2/s"),
        ("mm²/s", "mm2/s"),
        ("cm³", "cc"),
        ("hrs", "h"),
        ("µm", "um"),
    ],
)
def test_spellings_of_the_bench_are_understood(text: str, symbol: str) -> None:
    assert find_unit(text).symbol == symbol


def test_a_kilogram_on_a_hand_scale_is_a_force() -> None:
    """10 kg shown = 10 * 9.80665 N felt; as a mass it stays 10 kg."""
    assert from_unit(10.0, "kg", "force") == pytest.approx(98.0665)
    assert from_unit(10.0, "kg", "mass") == 10.0


def test_a_mistyped_unit_names_the_nearest() -> None:
    with pytest.raises(InputError) as caught:
        find_unit("pis", "pressure")
    assert "psi" in caught.value.next_step


def test_a_unit_of_another_dimension_is_told_apart() -> None:
    with pytest.raises(InputError, match="is a unit of length; a pressure is asked for"):
        find_unit("mm", "pressure")


@pytest.mark.parametrize(
    ("value", "unit", "uncertainty", "text"),
    [
        (0.0, "mm", None, "0 mm"),
        (0.0123, "mm", None, "12.3 mm"),
        (101325.0, "Pa", None, "101325 Pa"),
        (293.15, "C", 0.5, "20.0 ± 0.5 C"),
        (1e5, "bar", 1.2e4, "1.00 ± 0.12 bar"),
        (3600.0 * 14, "h", 600.0, "14.00 ± 0.17 h"),
    ],
)
def test_text_keeps_the_digits_that_mean_something(
    value: float, unit: str, uncertainty: float | None, text: str
) -> None:
    assert render(value, unit, uncertainty) == text


@given(st.sampled_from(EVERY_UNIT), st.floats(-1e12, 1e12), st.none() | st.floats(0, 1e12))
def test_any_value_has_a_text(
    unit: tuple[str, str], value: float, uncertainty: float | None
) -> None:
    text = render(value, unit[0], uncertainty, unit[1])
    assert text and len(text) < 60
    assert "nan" not in text


def test_each_dimension_lists_its_units() -> None:
    for dimension, units in DIMENSIONS.items():
        assert units_of(dimension) == tuple(unit.symbol for unit in units)
