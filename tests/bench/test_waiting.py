"""How long a slow change needs to show."""

from __future__ import annotations

import pytest

from diagnose.bench.leak import decay_constant, gauge_after
from diagnose.bench.waiting import HOURS_APART, hours_until
from tests.real_pack import shop_reasoner


@pytest.mark.parametrize("change", [0.0, -1.0, float("nan")])
def test_what_does_not_change_has_no_wait(change: float) -> None:
    assert hours_until(change, 1.0) is None


def test_the_wait_is_never_shorter_than_the_change_needs() -> None:
    for tenths in range(1, 300):
        hours = hours_until(tenths / 10, 1.0)
        assert hours is not None
        assert tenths / 10 <= hours < tenths / 10 + 0.5


def test_a_pace_of_a_psi_an_hour_is_a_decay_over_days() -> None:
    # By the exponential law of `leak`, in psi and hours: 170 psi lose 8 in eight hours.
    tau = decay_constant(170.0, 162.0, 8.0)
    assert gauge_after(170.0, tau, 24.0) == pytest.approx(147.1, abs=0.1)  # 170 (162/170)^3


def test_the_shops_overnight_reading_is_hours_apart_and_the_quick_one_is_not() -> None:
    checks = shop_reasoner().knowledge.checks
    waits = {}
    for ident in ("bench_overnight_gauge", "bench_short_gauge"):
        reading = checks[ident].reading
        assert reading is not None and reading.per_hour is not None
        first_fault = list(reading.states.values())[1].mean
        waits[ident] = hours_until(first_fault, reading.per_hour)
    assert waits == {"bench_overnight_gauge": 8.0, "bench_short_gauge": 0.5}
    assert 0.5 < HOURS_APART <= 8.0
