"""Parts of a paper print as text that keeps to its width, and as a page that says the same."""

from __future__ import annotations

import re

import hypothesis.strategies as st
import pytest
from hypothesis import example, given

from diagnose.cells import cells
from diagnose.pictures.chart import Chart
from diagnose.reports.paper import (
    Document,
    Grid,
    Head,
    Items,
    Pairs,
    Para,
    Part,
    Picture,
    Ride,
    StepPart,
    Warn,
    WriteIn,
)
from tests.reports.pages import knowledge, read

WORDS = st.text(min_size=1, max_size=90).filter(lambda text: bool(text.strip()))


def every_part(text: str) -> list[Part]:
    caution = next(iter(knowledge().cautions.values()))
    return [
        Head(text),
        Para(text, strong=True),
        Items((text, text), "ticks"),
        Pairs(((text, text),)),
        Grid(("what", "that", "why"), ((text, text, text),)),
        Warn(caution),
        Ride("ride_gently", text),
        StepPart(text, (Items((text,), "numbered"), WriteIn(text))),
        WriteIn(text),
    ]


@given(WORDS, st.sampled_from([32, 42, 80]))
@example("0" * 15 + "\u093a", 32)
def test_no_line_of_text_runs_over_and_nothing_steers_a_printer(text: str, width: int) -> None:
    printed = Document(text, tuple(every_part(text))).text(width)
    # In columns: a mark that sits on the letter before it takes none.
    assert max(map(cells, printed.splitlines())) <= width
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", printed)


@given(WORDS)
def test_a_page_of_any_words_is_sound_and_holds_no_code(text: str) -> None:
    page = read(Document(text, tuple(every_part(text))).page())
    assert page.faults == []
    assert "script" not in page.tags


@pytest.mark.parametrize("width", [32, 80])
def test_a_picture_fits_the_roll(width: int) -> None:
    chart = Chart("t", "d", "x", "y", (("gauge", ((0.0, 165.0), (0.5, 140.0))),))
    printed = Document("Reading", (Picture(chart),)).text(width)
    assert max(map(len, printed.splitlines())) <= width
    assert "gauge" in printed


def test_a_caution_stands_whole_on_both_prints() -> None:
    card = knowledge().cautions["leave_valve_alone"]
    said = f"{card.hazard} {card.consequence} {card.avoidance}"
    text = " ".join(Document("Job", (Warn(card),)).text(32).split())
    page = " ".join(read(Document("Job", (Warn(card),)).page()).text.split())
    assert f"{card.signal_word}: {said}" in text
    for part in (card.signal_word, card.hazard, card.consequence, card.avoidance):
        assert part in page
