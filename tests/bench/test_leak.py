"""Leak-down: the parts of a loss, three shapes of decay, what a gauge can show."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.bench import gas, leak
from diagnose.errors import InputError

ATM = gas.STANDARD_PRESSURE
KELVINS = st.floats(263.0, 313.0)


@given(
    st.floats(2e5, 20e5),
    st.floats(0, 20e5),
    KELVINS,
    KELVINS,
    st.floats(0, 3000),
    st.floats(0, 3000),
    st.floats(20e-6, 400e-6),
    st.floats(0, 10e-6),
    st.integers(0, 5),
)
def test_the_parts_of_a_loss_add_up(
    first: float,
    second: float,
    warm: float,
    later: float,
    low: float,
    high: float,
    volume: float,
    hose: float,
    times: int,
) -> None:
    loss = leak.explain_loss(
        first,
        second,
        temperature=warm,
        later_temperature=later,
        ambient=gas.ambient_at_altitude(low),
        later_ambient=gas.ambient_at_altitude(high),
        volume=volume,
        hose_volume=hose,
        reconnections=times,
    )
    parts = loss.temperature + loss.altitude + loss.hose + loss.rest
    assert parts == pytest.approx(loss.total, abs=1e-3)
    assert loss.expected - second == pytest.approx(loss.rest, abs=1e-6)


@given(st.floats(2e5, 20e5), KELVINS, KELVINS, st.floats(0, 10e-6), st.integers(0, 4))
def test_a_tight_shock_has_no_rest(
    first: float, warm: float, later: float, hose: float, times: int
) -> None:
    there = gas.gauge_elsewhere(first, warm, later)
    second = gas.after_connecting(there, 1e-4, hose, times)
    loss = leak.explain_loss(
        first,
        second,
        temperature=warm,
        later_temperature=later,
        ambient=ATM,
        later_ambient=ATM,
        volume=1e-4,
        hose_volume=hose,
        reconnections=times,
    )
    assert loss.rest == pytest.approx(0.0, abs=1e-3)


@given(st.floats(1e5, 20e5), st.floats(0.05, 0.95), st.floats(60.0, 1e6))
def test_decay_there_and_back(start: float, share: float, elapsed: float) -> None:
    tau = leak.decay_constant(start, share * start, elapsed)
    assert leak.gauge_after(start, tau, elapsed) == pytest.approx(share * start)
    assert leak.time_to_gauge(start, share * start, tau) == pytest.approx(elapsed)


@given(st.floats(6e5, 20e5))
def test_with_one_first_slope_the_shapes_keep_their_order(start: float) -> None:
    """A scratch and a choked hole empty to half faster than the straight law, choked fastest."""
    tau = 3600.0
    high, low = gas.absolute(start), gas.absolute(start / 2)
    slope = start / tau
    straight = leak.half_life(tau)
    choked = leak.choked_time(high, low, high / slope)
    laminar = leak.laminar_time(high, low, slope / (high**2 - ATM**2))
    assert choked < straight
    assert laminar > 0.0
    assert choked < tau


@given(st.floats(2e5, 20e5), st.floats(0.0, 5e4), KELVINS, st.floats(20e-6, 4e-4))
def test_rate_and_time_undo_each_other(
    start: float, drop: float, kelvin: float, volume: float
) -> None:
    assume(drop > 1.0)
    rate = leak.standard_rate(start, start - drop, kelvin, kelvin, volume, 600.0)
    assert leak.time_to_lose(drop, rate, volume, kelvin) == pytest.approx(600.0, rel=1e-6)


@given(st.floats(1e3, 1e5), st.floats(60, 1e5), st.floats(0, 3), st.floats(1.1, 10))
def test_waiting_longer_shows_smaller_leaks(
    step: float, elapsed: float, drift: float, longer: float
) -> None:
    state = (13e5, 293.15, drift)
    lowest = leak.smallest_leak(1e-4, step, elapsed, *state)
    assert leak.smallest_leak(1e-4, step, elapsed * longer, *state) < lowest
    assert leak.smallest_leak(1e-4, step * longer, elapsed, *state) > lowest
    assert leak.wait_for_leak(lowest, 1e-4, step, *state) == pytest.approx(elapsed)


def test_a_five_kelvin_cool_down_alone_looks_like_a_leak() -> None:
    """200 psi set at 25 C reads 3.6 psi less at 20 C; over 10 min that would be 2.5 cm3/min."""
    start = 200 * 6894.757
    drop = start - gas.gauge_elsewhere(start, 298.15, 293.15)
    assert drop / 6894.757 == pytest.approx(3.6, abs=0.1)


@pytest.mark.parametrize(
    "call",
    [
        lambda: leak.standard_rate(2e5, 1e5, 293.0, 293.0, 1e-4, 0.0),
        lambda: leak.standard_rate(2e5, 1e5, 293.0, 293.0, 1e-4, -60.0),
        lambda: leak.standard_rate(2e5, 1e5, 293.0, 293.0, 0.0, 60.0),
        lambda: leak.decay_constant(1e5, 1e5, 60.0),
        lambda: leak.decay_constant(1e5, 0.0, 60.0),
        lambda: leak.decay_constant(1e5, 5e4, -1.0),
        lambda: leak.laminar_time(2e5, 3e5, 1e-10),
        lambda: leak.choked_time(2e5, 1.5e5, 100.0),
        lambda: leak.bubble_rate(0.0, 10.0),
        lambda: leak.time_to_gauge(2e5, 0.0, 10.0),
        lambda: leak.smallest_leak(1e-4, 7e3, 0.0, 13e5, 293.0),
    ],
)
def test_what_cannot_be_is_refused(call: object) -> None:
    with pytest.raises(InputError) as caught:
        call()  # type: ignore[operator]
    assert caught.value.next_step
