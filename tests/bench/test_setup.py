"""Set-up arithmetic: sag, leverage, reserve."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench import setup
from diagnose.errors import InputError


@given(st.floats(0.03, 0.08), st.floats(0.0, 1.0))
def test_sag_and_reserve_share_the_stroke(stroke: float, share: float) -> None:
    used = share * stroke
    assert setup.sag(used, stroke) == pytest.approx(share)
    assert setup.reserve(used, stroke) + used == pytest.approx(stroke)


@given(st.floats(0.03, 0.08), st.floats(1.5, 3.5))
def test_even_leverage_is_its_own_mean(stroke: float, ratio: float) -> None:
    assert setup.average_leverage(setup.wheel_travel(stroke, ratio), stroke) == pytest.approx(ratio)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="rear share"):
        setup.shock_load(80.0, 1.2, 2.5)
    with pytest.raises(InputError, match="stroke"):
        setup.sag(0.01, 0.0)
    with pytest.raises(InputError, match="leverage"):
        setup.shock_load(80.0, 0.6, 0.0)
