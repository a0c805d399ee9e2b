"""Gas laws: there and back, limits, and what cannot be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench import gas
from diagnose.errors import InputError

GAUGES = st.floats(0.0, 25e5)
KELVINS = st.floats(243.0, 333.0)
VOLUMES = st.floats(5e-6, 500e-6)
HOSES = st.floats(0.0, 20e-6)


@given(GAUGES, st.floats(5e4, 1.1e5))
def test_gauge_and_absolute_undo_each_other(pressure: float, ambient: float) -> None:
    assert gas.gauge(gas.absolute(pressure, ambient), ambient) == pytest.approx(pressure, abs=1e-6)


@given(GAUGES, KELVINS, KELVINS, st.floats(0, 4000), st.floats(0, 4000))
def test_a_journey_there_and_back_changes_nothing(
    pressure: float, warm: float, cold: float, low: float, high: float
) -> None:
    here, there = gas.ambient_at_altitude(low), gas.ambient_at_altitude(high)
    away = gas.gauge_elsewhere(pressure, warm, cold, here, there)
    back = gas.gauge_elsewhere(away, cold, warm, there, here)
    assert back == pytest.approx(pressure, abs=1e-3)


@given(GAUGES, KELVINS, st.floats(0.1, 30))
def test_cooling_lowers_and_climbing_raises_a_gauge(
    pressure: float, warm: float, step: float
) -> None:
    assert gas.gauge_elsewhere(pressure, warm, warm - step) < pressure
    up = gas.ambient_at_altitude(100 * step)
    assert gas.gauge_elsewhere(pressure, warm, warm, new_ambient=up) > pressure


@given(GAUGES, VOLUMES, HOSES, st.integers(0, 10))
def test_a_hose_never_adds_pressure_and_can_be_undone(
    pressure: float, chamber: float, hose: float, times: int
) -> None:
    left = gas.after_connecting(pressure, chamber, hose, times)
    assert 0.0 <= left <= pressure
    assert gas.before_connecting(left, chamber, hose, times) == pytest.approx(pressure, rel=1e-9)


@given(GAUGES, VOLUMES, HOSES, st.integers(0, 5), st.integers(0, 5))
def test_connecting_twice_is_connecting_and_connecting(
    pressure: float, chamber: float, hose: float, first: int, second: int
) -> None:
    at_once = gas.after_connecting(pressure, chamber, hose, first + second)
    in_turn = gas.after_connecting(
        gas.after_connecting(pressure, chamber, hose, first), chamber, hose, second
    )
    assert at_once == pytest.approx(in_turn)


@given(st.floats(1e5, 3e6), st.floats(1.0, 5.0), st.floats(1.0, 1.4))
def test_compression_can_be_undone_and_work_is_positive(
    pressure: float, ratio: float, exponent: float
) -> None:
    there = gas.polytropic_pressure(pressure, ratio, exponent)
    assert gas.polytropic_pressure(there, 1 / ratio, exponent) == pytest.approx(pressure)
    assert there >= pressure
    assert gas.polytropic_work(pressure, 1e-4, ratio, exponent) >= 0.0


def test_work_near_exponent_one_meets_the_isothermal_limit() -> None:
    slow = gas.polytropic_work(1e6, 1e-4, 2.0, 1.0)
    assert gas.polytropic_work(1e6, 1e-4, 2.0, 1.0 + 1e-9) == pytest.approx(slow, rel=1e-7)


def test_two_thousand_metres_raise_a_gauge_by_3_2_psi() -> None:
    """(101325 - 79501) Pa = 3.17 psi: U.S. Standard Atmosphere 1976."""
    rise = gas.gauge_elsewhere(1.2e6, 293.15, 293.15, new_ambient=gas.ambient_at_altitude(2000.0))
    assert (rise - 1.2e6) / 6894.757 == pytest.approx(3.17, abs=0.01)


@pytest.mark.parametrize(
    "call",
    [
        lambda: gas.absolute(-1.1e5),
        lambda: gas.gauge(0.0),
        lambda: gas.at_temperature(1e5, 0.0, 300.0),
        lambda: gas.at_temperature(1e5, 300.0, -1.0),
        lambda: gas.at_temperature(float("nan"), 300.0, 300.0),
        lambda: gas.ambient_at_altitude(12_000.0),
        lambda: gas.after_connecting(1e5, 0.0, 3e-6),
        lambda: gas.after_connecting(1e5, 1e-4, -1e-6),
        lambda: gas.after_connecting(1e5, 1e-4, 1e-6, -1),
        lambda: gas.polytropic_pressure(1e5, 0.0, 1.4),
    ],
)
def test_what_cannot_be_is_refused(call: object) -> None:
    with pytest.raises(InputError) as caught:
        call()  # type: ignore[operator]
    assert caught.value.next_step
