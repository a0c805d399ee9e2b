"""The air spring: monotone force, consistent rate, and the two ways of standing short."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench import air_spring as spring
from diagnose.bench import gas
from diagnose.bench.air_spring import TYPICAL
from diagnose.errors import InputError

PSI = 6894.757293168361
CHARGE = gas.absolute(250 * PSI)
SETS = st.floats(5e5, 20e5).map(gas.absolute)
STROKES = st.floats(0.0, TYPICAL.stroke)


@given(SETS, STROKES, STROKES)
def test_force_rises_with_stroke(set_pressure: float, x: float, y: float) -> None:
    low, high = sorted((x, y))
    at_low = spring.spring_force(TYPICAL, low, set_pressure, CHARGE)
    assert at_low <= spring.spring_force(TYPICAL, high, set_pressure, CHARGE) + 1e-6


@given(SETS, st.floats(0.001, 0.049), st.floats(1.0, 1.4))
def test_rate_is_the_slope_of_the_force(set_pressure: float, x: float, n: float) -> None:
    step = 1e-6
    ahead = spring.spring_force(TYPICAL, x + step, set_pressure, CHARGE, n)
    behind = spring.spring_force(TYPICAL, x - step, set_pressure, CHARGE, n)
    rate = spring.spring_rate(TYPICAL, x, set_pressure, CHARGE, n)
    assert rate == pytest.approx((ahead - behind) / (2 * step), rel=1e-5)


@given(SETS)
def test_the_chambers_are_equal_at_the_transfer_position(set_pressure: float) -> None:
    assert spring.positive_at(TYPICAL, TYPICAL.transfer, set_pressure) == pytest.approx(
        spring.negative_at(TYPICAL, TYPICAL.transfer, set_pressure)
    )


@given(st.floats(0.003, 0.030), st.floats(500.0, 2500.0))
def test_pressure_for_a_sag_gives_that_sag(x: float, load: float) -> None:
    try:
        set_pressure = spring.set_pressure_for(TYPICAL, load, x, CHARGE)
    except InputError:
        return
    assert spring.stroke_under(TYPICAL, load, set_pressure, CHARGE) == pytest.approx(x, abs=1e-7)


def test_load_beyond_either_end_stays_on_the_stroke() -> None:
    assert spring.stroke_under(TYPICAL, 0.0, gas.absolute(12e5), CHARGE) == 0.0
    assert spring.stroke_under(TYPICAL, 1e5, gas.absolute(12e5), CHARGE) == TYPICAL.stroke


@given(st.floats(2e5, 30e5), STROKES)
def test_balance_and_re_extension_undo_each_other(positive: float, x: float) -> None:
    here = spring.charge_at(TYPICAL, x, CHARGE)
    behind = spring.negative_from_balance(TYPICAL, positive, here)
    gauge = spring.reextension_gauge(TYPICAL, behind, here)
    assert gauge == pytest.approx(positive - gas.STANDARD_PRESSURE, rel=1e-9, abs=1e-3)


def test_vented_fast_it_pulls_itself_in_and_comes_back_for_little_air() -> None:
    """Set to 174 psi and emptied at full length: rests near 43 mm, about 41 psi behind the piston,
    and comes back for less than half of the set pressure."""
    set_pressure = gas.absolute(12e5)
    x = spring.rest_position(TYPICAL, gas.STANDARD_PRESSURE, set_pressure, CHARGE)
    behind = spring.negative_at(TYPICAL, x, set_pressure)
    assert x * 1e3 == pytest.approx(42.6, abs=0.9)
    assert gas.gauge(behind) / PSI == pytest.approx(41, abs=1.5)
    needed = spring.return_gauge(TYPICAL, x, behind, CHARGE)
    assert needed / PSI == pytest.approx(74, abs=4)
    assert spring.reextension(needed, 12e5, 20e5) == "within usual pressure"


def test_gone_down_without_losing_air_it_must_stay_shut() -> None:
    """150 psi on the gauge, 43 mm down: about 335 psi behind, 1300 N of pull once vented."""
    x = 0.043
    here = spring.charge_at(TYPICAL, x, CHARGE)
    behind = spring.negative_from_balance(TYPICAL, gas.absolute(150 * PSI), here)
    pull = -spring.axial_force(TYPICAL, gas.STANDARD_PRESSURE, behind, here)
    assert gas.gauge(behind) / PSI == pytest.approx(335, abs=3)
    assert pull == pytest.approx(1300, abs=15)
    needed = spring.return_gauge(TYPICAL, x, behind, CHARGE)
    assert spring.reextension(needed, 174 * PSI, 300 * PSI) == "do not open"


@given(st.floats(0.0, 50e5), st.floats(1e5, 20e5), st.floats(1e5, 30e5))
def test_no_verdict_goes_above_usual_or_maximum(
    needed: float, usual: float, maximum: float
) -> None:
    verdict = spring.reextension(needed, usual, maximum)
    assert (verdict == "within usual pressure") == (needed <= usual and needed <= maximum)
    assert (verdict == "do not open") == (needed > maximum)


@pytest.mark.parametrize("x", [-0.001, 0.051, float("nan")])
def test_outside_the_stroke_is_refused(x: float) -> None:
    with pytest.raises(InputError, match="outside 0 to 50 mm"):
        spring.positive_at(TYPICAL, x, 13e5)


def test_an_impossible_sag_is_refused() -> None:
    with pytest.raises(InputError, match="No air pressure"):
        spring.set_pressure_for(TYPICAL, -500.0, 0.015, CHARGE)
