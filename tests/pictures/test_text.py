"""Charts in characters: within their width, plain where asked, no control characters."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.errors import InputError
from diagnose.pictures.chart import Chart
from diagnose.pictures.text import bars_text, chart_text

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
    assert "\x1b" not in bars_text([("\x1b[31m", 1.0)])


@given(
    st.lists(
        st.tuples(st.text(st.characters(codec="ascii"), max_size=30), st.floats(0, 1e4)),
        min_size=1,
        max_size=8,
    ),
    st.integers(40, 100),
)
def test_bars_keep_to_their_width_and_order(rows: list[tuple[str, float]], width: int) -> None:
    lines = bars_text(rows, width, plain=True).split("\n")
    assert len(lines) == len(rows)
    assert max(map(len, lines)) <= width
    # The largest value has the longest bar.
    named = [("x", value) for _, value in rows]
    lengths = [line.count("#") for line in bars_text(named, width, plain=True).split("\n")]
    assert lengths[[value for _, value in rows].index(max(v for _, v in rows))] == max(lengths)


def test_eighths_of_a_cell_tell_close_bars_apart() -> None:
    first, second = bars_text([("a", 1.0), ("b", 0.99)], 40).split("\n")
    assert first != second.replace("b", "a")


def test_too_little_room_is_refused() -> None:
    with pytest.raises(InputError, match="30 columns"):
        chart_text(PRESSURE, 20, 10)
    with pytest.raises(InputError, match="5 rows"):
        chart_text(PRESSURE, 40, 3)
