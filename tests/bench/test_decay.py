"""A leak's rate against the law of decay as `leak` has it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench.decay import Decay
from diagnose.bench.leak import decay_constant, half_life


@given(st.floats(1.0, 300.0), st.floats(0.01, 4000.0), st.floats(0.01, 0.99))
def test_a_rate_is_that_of_the_law_of_decay(start: float, hours: float, part: float) -> None:
    decay, drop = Decay(start, hours), part * start
    tau = decay_constant(start, start - drop, hours)
    assert decay.rate(drop) == pytest.approx(1.0 / tau, rel=1e-6)
    assert decay.half_life(drop) == pytest.approx(half_life(tau), rel=1e-6)
    assert decay(decay.rate(drop)) == pytest.approx(drop, rel=1e-6)
    assert decay.wait(drop, decay.rate(drop)) == pytest.approx(hours, rel=1e-9)


def test_what_is_all_gone_has_no_slowest_rate() -> None:
    assert Decay(170.0, 8.0).rate(171.0) == math.inf
    assert Decay(170.0, 8.0).wait(171.0, 0.03) == math.inf
    assert Decay(0.0, 8.0)(5.0) == 0.0
