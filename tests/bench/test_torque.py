"""Tightening: the square position needs no correction; a thread has a core."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench import torque
from diagnose.errors import InputError


@given(st.floats(1, 100), st.floats(0.1, 0.6), st.floats(0.0, 0.09))
def test_setting_falls_in_line_and_rises_folded_back(
    target: float, wrench: float, adapter: float
) -> None:
    in_line = torque.wrench_setting(target, wrench, adapter, 0.0)
    square = torque.wrench_setting(target, wrench, adapter, pi / 2)
    back = torque.wrench_setting(target, wrench, adapter, pi)
    assert in_line <= square <= back
    assert square == pytest.approx(target)


@given(st.floats(0.5, 50), st.floats(0.003, 0.012))
def test_preload_goes_with_torque(value: float, diameter: float) -> None:
    assert torque.preload(2 * value, diameter) == pytest.approx(2 * torque.preload(value, diameter))


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="reach back"):
        torque.wrench_setting(10.0, 0.1, 0.2, pi)
    with pytest.raises(InputError, match="pitch"):
        torque.stress_area(0.005, 0.006)
    with pytest.raises(InputError, match="thread diameter"):
        torque.preload(5.0, 0.0)
