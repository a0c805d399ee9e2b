"""Axes: round ticks that cover the data."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.errors import InputError
from diagnose.pictures.chart import Chart, frame, number, ticks

VALUES = st.floats(-1e6, 1e6)


def chart(*points: tuple[float, float]) -> Chart:
    return Chart("t", "d", "x", "y", (("line", points),))


@given(VALUES, VALUES)
def test_ticks_cover_the_range_evenly_and_few(low: float, high: float) -> None:
    low, high = sorted((low, high))
    marks = ticks(low, high)
    assert 2 <= len(marks) <= 12
    slack = 1e-6 * (marks[-1] - marks[0])
    assert marks[0] <= low + slack and marks[-1] >= high - slack
    steps = [b - a for a, b in pairwise(marks)]
    assert max(steps) == pytest.approx(min(steps), rel=1e-3)


@given(st.lists(st.tuples(VALUES, VALUES), min_size=1, max_size=20))
def test_every_point_lies_inside_the_frame(points: list[tuple[float, float]]) -> None:
    axes = frame(chart(*points))
    for x, y in points:
        assert -1e-6 <= axes.across(x) <= 1 + 1e-6
        assert -1e-6 <= axes.up(y) <= 1 + 1e-6


@pytest.mark.parametrize("points", [(), ((0.0, float("nan")),), ((float("inf"), 0.0),)])
def test_nothing_to_draw_is_refused(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(InputError, match="chart 't'"):
        frame(chart(*points))


def test_values_closer_than_an_axis_shows_are_one_value() -> None:
    assert ticks(0.0, 5e-324) == ticks(0.0, 0.0)
    assert ticks(1.0, 1.0 + 1e-15)[0] < 1.0 < ticks(1.0, 1.0 + 1e-15)[-1]


def test_bounds_that_are_no_numbers_are_refused() -> None:
    with pytest.raises(InputError, match="not finite"):
        ticks(0.0, float("inf"))


def test_axis_numbers_are_short() -> None:
    assert [number(v) for v in (0.1 + 0.2, -1e-30, 165.0)] == ["0.3", "-1e-30", "165"]
