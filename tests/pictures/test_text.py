"""Charts in characters: within their width, plain where asked, no control characters."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.errors import InputError
from diagnose.pictures.chart import Chart
from diagnose.pictures.text import chart_text

PRESSURE = Chart(
    "Pressure",
    "It falls.",
    "time [h]",
    "gauge [psi]",
    (("gauge", ((0.0, 165.0), (14.0, 128.0))),),
    ((0.0, 164.0, 166.0), (14.0, 148.0, 155.0)),
    "explained",
)
POINTS = st.lists(st.tuples(st.floats(0, 1e3), st.floats(-50, 1e3)), min_size=1, max_size=15).map(
    lambda points: tuple(sorted(points))
)


@given(POINTS, st.integers(30, 100), st.integers(5, 30), st.booleans())
def test_a_chart_keeps_to_its_size(
    points: tuple[tuple[float, float], ...], width: int, height: int, plain: bool
) -> None:
    chart = Chart("t", "d", "x", "y", (("line", points),))
    rows = chart_text(chart, width, height, plain=plain).split("\n")
    assert len(rows) == height + 5
    assert max(map(len, rows)) <= width
    assert any(("*" if plain else "●") in row for row in rows[2 : 2 + height])
    assert not plain or "\n".join(rows).isascii()


def test_the_falling_line_starts_high_and_ends_low() -> None:
    rows = chart_text(PRESSURE, 60, 14).split("\n")[2:16]
    first = next(index for index, row in enumerate(rows) if "●" in row)
    last = max(index for index, row in enumerate(rows) if "●" in row)
    assert first < 3 < 9 < last
    assert rows[first].index("●") < 10 < 50 < rows[last].index("●")


def test_the_band_and_its_name_are_shown() -> None:
    text = chart_text(PRESSURE)
    assert text.endswith("░ explained")
    assert text.count("░") > 20
    assert ": explained" in chart_text(PRESSURE, plain=True)


def test_a_label_cannot_move_the_cursor() -> None:
    evil = Chart("a\x1b[2Jb", "d", "x\r", "y\n", (("l\x07", ((0.0, 1.0),)),))
    text = chart_text(evil)
    assert "\x1b" not in text and "\r" not in text and "\x07" not in text


def test_too_little_room_is_refused() -> None:
    with pytest.raises(InputError, match="30 columns"):
        chart_text(PRESSURE, 20, 10)
    with pytest.raises(InputError, match="5 rows"):
        chart_text(PRESSURE, 40, 3)
