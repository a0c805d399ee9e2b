"""The judgement as text: everything in it, within the width, harmless on a terminal.

Reaches reasoning.wording too.
"""

from __future__ import annotations

import doctest

import pytest

from diagnose.cells import cells
from diagnose.reports import wrapping
from diagnose.reports.judgement_text import judgement_text
from tests.reports.jobs import NASTY, judged


def test_the_examples_in_the_text_hold() -> None:
    tried = doctest.testmod(wrapping)
    assert tried.attempted > 0
    assert tried.failed == 0


@pytest.mark.parametrize("width", [30, 40, 80])
def test_nothing_runs_over_and_every_caution_stands_whole(width: int) -> None:
    judgement, _ = judged({"complaint": "stuck down since a hard landing"})
    text = judgement_text(judgement, width)
    assert max(map(len, text.splitlines())) <= width
    flat = " ".join(text.split())
    assert judgement.cautions
    for caution in judgement.cautions:
        assert f"{caution.signal_word}: {caution.text}" in flat


def test_a_customers_words_cannot_steer_the_terminal() -> None:
    judgement, _ = judged({"complaint": NASTY})
    text = judgement_text(judgement, 80)
    assert not {"\x1b", "\u202e"} & set(text)


@pytest.mark.parametrize("width", [20, 32, 80])
def test_wide_signs_stay_within_the_width(width: int) -> None:
    lines = wrapping.wrapped("油漏れ🚲 " * 12 + "油" * 60, width, "- ")
    assert max(map(cells, lines)) <= width
    assert "".join("".join(lines).split()) == "-" + "油漏れ🚲" * 12 + "油" * 60
