"""Wrapping keeps every word and stays within the width."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.cells import cells, clean, plain_text, wrap

TEXTS = st.text(st.characters(codec="utf-8"), max_size=120)
STYLES = st.sampled_from(["", "question", "WARNING"])
FRAGMENTS = st.lists(st.tuples(STYLES, TEXTS), max_size=5)


def letters(text: str) -> str:
    return "".join(text.split(" "))


@given(FRAGMENTS, st.integers(2, 90), st.sampled_from(["", "  ", "  - "]))
def test_no_line_is_wider_and_no_sign_is_lost(
    fragments: list[tuple[str, str]], width: int, lead: str
) -> None:
    lines = wrap(fragments, width, lead if len(lead) + 2 <= width else "")
    for line in lines:
        assert sum(cells(text) for _, text in line) <= width
    said = "".join(text for line in lines for _, text in line)
    whole = (lead if len(lead) + 2 <= width else "") + clean("".join(t for _, t in fragments))
    assert letters(said) == letters(whole)


@given(st.lists(st.text("abcdefgh.,-", min_size=1, max_size=12), max_size=40))
def test_words_that_fit_are_never_broken(words: list[str]) -> None:
    lines = wrap([("", " ".join(words))], 12)
    assert [word for line in lines for _, text in line for word in text.split()] == words


@given(TEXTS)
def test_cleaned_text_cannot_move_the_cursor(text: str) -> None:
    assert all(ord(sign) >= 32 and not 127 <= ord(sign) < 160 for sign in clean(text))


def test_an_escape_sequence_in_the_customers_words_stays_visible() -> None:
    assert clean("oil\x1b[2J\r\non \u202eit") == "oil\ufffd[2J  on \ufffdit"


@pytest.mark.parametrize(
    ("text", "width"), [("油漏れ", 6), ("🚲", 2), ("e\u0301", 1), ("\N{NO-BREAK SPACE}", 1)]
)
def test_width_is_counted_in_cells(text: str, width: int) -> None:
    assert cells(text) == width


def test_styles_survive_the_breaks() -> None:
    lines = wrap([("WARNING", "WARNING:"), ("", " leave the valve alone")], 12, hang=2)
    assert lines[0] == (("WARNING", "WARNING:"),)
    assert plain_text(lines) == "WARNING:\n  leave the\n  valve\n  alone"
