"""How long a slow change needs to show."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench.leak import gauge_after
from diagnose.bench.leak_readings import LEAST_SHOWN
from diagnose.bench.units import PSI
from diagnose.bench.waiting import HOURS_APART, hours_to_show
from diagnose.conversation.awaiting import wait_of
from tests.real_pack import shop_reasoner


@given(st.floats(1e-5, 10.0))
def test_by_the_end_of_the_wait_the_middle_fault_shows(rate: float) -> None:
    """From the usual 170 psi, by the exponential law of `leak`; a quarter of an hour early not."""
    hours = hours_to_show(rate)
    after = gauge_after(170.0, 1.0 / rate, hours)
    assert 170.0 - after >= LEAST_SHOWN / PSI - 1e-9
    assert 170.0 - gauge_after(170.0, 1.0 / rate, hours - 0.25) <= LEAST_SHOWN / PSI + 1e-9


def test_the_shops_overnight_reading_is_hours_apart_and_the_quick_one_is_not() -> None:
    checks = shop_reasoner().knowledge.checks
    waits = {}
    for ident in ("bench_overnight_gauge", "bench_short_gauge"):
        reading = checks[ident].reading
        assert reading is not None and reading.shows is not None
        waits[ident] = hours_to_show(reading.rates[reading.shows].median)
    assert waits == {"bench_overnight_gauge": 9.0, "bench_short_gauge": 0.25}
    assert 0.25 < HOURS_APART <= 9.0
    assert wait_of(checks["bench_overnight_gauge"]) == 9.0
    assert wait_of(checks["bench_short_gauge"]) is None


def test_both_checks_judge_by_the_rates_of_their_finding() -> None:
    knowledge = shop_reasoner().knowledge
    rates = knowledge.findings["air_loss"].rates
    for ident in ("bench_overnight_gauge", "bench_short_gauge"):
        reading = knowledge.checks[ident].reading
        assert reading is not None and reading.rates == rates
