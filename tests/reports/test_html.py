"""Plain text stays text, whatever it holds."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from diagnose.cells import clean
from diagnose.reports.html import Html, bullets, html, join, numbered, table, tag, ticks
from tests.reports.pages import read


@given(st.text())
def test_text_comes_back_as_it_was_but_for_what_could_act(text: str) -> None:
    reader = read(tag("p", text, title=text))
    assert reader.tags == ["p"] and not reader.faults
    assert reader.text == clean(text, "\n\t")


@given(st.text())
def test_nothing_is_left_that_steers_a_terminal_or_the_direction_of_reading(text: str) -> None:
    acting = "\x1b\x00\x7f\u202e\u2066\ud800"
    assert not set(clean(text + acting)) & set(acting)
    clean(text).encode()


def test_html_is_not_escaped_twice() -> None:
    inner = tag("b", "1 < 2")
    assert tag("p", inner, " & more") == "<p><b>1 &lt; 2</b> &amp; more</p>"
    assert html(inner) is inner
    assert join(["<", inner], " & ") == "&lt; &amp; <b>1 &lt; 2</b>"


def test_an_attribute_cannot_be_left() -> None:
    reader = read(tag("a", "x", href='"><script>alert(1)</script>'))
    assert reader.tags == ["a"] and reader.links == ['"><script>alert(1)</script>']


def test_empty_lists_and_tables_leave_nothing() -> None:
    assert bullets([]) == numbered([]) == ticks([]) == table(["a"], []) == Html()


def test_a_cell_repeats_its_head() -> None:
    made = table(["what", "<n>"], [["a", "b"]])
    assert '<td data-head="&lt;n&gt;">b</td>' in made
    assert not read(made).faults
