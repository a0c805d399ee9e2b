"""A job in one line."""

from __future__ import annotations

import pytest

from diagnose.job.events import (
    Approved,
    Booked,
    Closed,
    Complained,
    Event,
    HandedOver,
    Judged,
    Noted,
)
from diagnose.records.summary import FIRST_WORDS, SEARCHED, summarise
from tests.records.examples import opened


@pytest.mark.parametrize(
    ("events", "state"),
    [
        ([], "new"),
        ([opened()], "counter"),
        ([opened(), Booked()], "look"),
        ([opened(), Booked(), HandedOver(to="CD")], "look"),
        ([opened(), Approved(stages=[], declined=True)], "declined"),
        ([opened(), HandedOver(to="CD"), Closed()], "closed"),
    ],
)
def test_states(events: list[Event], state: str) -> None:
    assert summarise("1", events)["state"] == state


def test_long_words_are_cut_for_the_list_and_whole_for_the_search() -> None:
    words = "very " * 30 + "last"
    made = summarise("1", [opened(), Complained(text=words)])
    assert len(made["first_words"]) <= FIRST_WORDS
    assert made["first_words"].endswith("…")
    assert made["words"] == "1 very last ab"


def test_what_was_done_counts_before_what_was_judged() -> None:
    judged = Judged(judgement={"stage": {"id": "small"}})
    assert summarise("1", [judged])["stage"] == "small"
    assert summarise("1", [judged, Closed(stage="large")])["stage"] == "large"


def test_long_notes_do_not_make_it_long() -> None:
    notes = [Noted(text=" ".join(f"word{n}" for n in range(k, k + 900))) for k in range(9)]
    assert len(summarise("1", notes)["words"]) == SEARCHED
