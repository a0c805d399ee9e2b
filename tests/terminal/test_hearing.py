"""Correcting what was heard: one key a reading, in a drawn terminal and line by line."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

import pytest

from diagnose.job.events import Answered, Complained, Event, Opened, Struck, Withdrawn
from diagnose.job.state import fold
from diagnose.terminal.door import Settings
from diagnose.terminal.plain import PlainDoor
from diagnose.terminal.talk import talk
from tests.heard_words import spelled_talk

TALK = spelled_talk()
SURE = "creak 0.9 oil_slider 0.8 knock_load 0.7"
BEGUN = [Opened(pack="rear_air_shock", knowledge="")]


def hold(door: Any, words: str, *, plain: bool = False) -> list[Event]:
    """The events that a talk adds to the complaint."""
    outcome = talk(
        TALK,
        BEGUN,
        lambda new: None,
        clock=lambda: "",
        person="",
        settings=Settings(plain=plain, width=80 if plain else None),
        said=words,
        door=door,
    )
    return [event for event in outcome.events[2:] if event.kind != "judged"]


def by_lines(words: str, keys: Sequence[str]) -> tuple[list[Event], str]:
    out = io.StringIO()
    door = PlainDoor(io.StringIO("".join(f"{key}\n" for key in keys)), out, 80)
    return hold(door, words, plain=True), out.getvalue()


@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
def test_one_key_strikes_out_and_the_same_key_brings_back(
    size: tuple[int, int], typist: Callable[..., Any]
) -> None:
    door = typist(size, ["w\r", "2", "2", "2", "\r", "q\r"])
    events = hold(door, SURE)
    assert [event.kind for event in events] == ["struck", "withdrawn", "struck"]
    assert all(event.ask == "said_oil_slider" for event in events if isinstance(event, Struck))
    assert any(isinstance(event, Withdrawn) and event.number == 2 for event in events)
    seen = ["\n".join(view) for view in door.views]
    assert "not meant:" not in seen[1] and "not meant:" in seen[2]
    assert "not meant:" not in seen[3] and "not meant:" in seen[4]
    # Every reading with the customer's own words, and every key, on one screen.
    for words in ("('creak 0.9')", "0.8')", "('knock_load 0.7')", "Go on (Enter)"):
        assert words in " ".join(seen[1].split()), words


@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
def test_what_is_sure_stands_above_the_first_question_and_costs_no_key(
    size: tuple[int, int], typist: Callable[..., Any]
) -> None:
    door = typist(size, ["q"])
    assert hold(door, f"{SURE} squidgy") == []
    above = " ".join(door.paper.scrolled.split())
    assert 'not understood: "squidgy"' in above and "w corrects" in above
    assert "Anything else it does" in " ".join(" ".join(door.views[0]).split())


@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
def test_readings_in_doubt_are_one_question_and_enter_answers_none(
    size: tuple[int, int], typist: Callable[..., Any]
) -> None:
    door = typist(size, ["\r", "q"])
    events = hold(door, "creak 0.4 squeak 0.4")
    assert [event.kind for event in events] == ["struck", "struck", "understood"]
    first = " ".join(" ".join(door.views[0]).split())
    assert "('creak 0.4')" in first and "('squeak 0.4')" in first and "None of these" in first


@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
def test_where_danger_may_be_meant_an_enter_alone_denies_nothing(
    size: tuple[int, int], typist: Callable[..., Any]
) -> None:
    door = typist(size, ["\r", "1", "\r", "q"])
    events = hold(door, "creak 0.4 stuck_short 0.4")
    assert [event.kind for event in events] == ["answered", "struck", "understood"]


def test_a_question_is_meant_once_its_key_is_pressed() -> None:
    events, text = by_lines("creak 0.9 rides_low 0.4", ["w", "2", "", "q"])
    assert "2 perhaps " in text
    assert isinstance(events[-1], Answered) and events[-1].ask == "said_rides_low"


def test_another_state_of_one() -> None:
    events, text = by_lines("oil_slider 0.9 creak 0.8", ["w", "8", "1", "3", "", "q"])
    states = TALK.reasoner.knowledge.symptoms["said_oil_slider"].answers
    assert events == [Answered(ask="said_oil_slider", state=states[2].state)]
    assert "Noted: " in text


def test_one_is_added_by_its_name() -> None:
    card = TALK.reasoner.knowledge.symptoms["said_creak"]
    events, _ = by_lines("oil_slider 0.9", ["w", "9", card.name.upper(), "1", "", "q"])
    assert events == [Answered(ask="said_creak", state=card.answers[0].state)]


def test_one_is_added_in_more_words() -> None:
    events, text = by_lines("oil_slider 0.9", ["w", "9", "knock_load 0.9", "", "q"])
    assert events == [Complained(text="knock_load 0.9")]
    assert "('knock_load 0.9')" in text


@pytest.mark.parametrize("keys", [["w", ""], ["w", "."], ["w", "9", "", "0"], ["w", "8", ".", "."]])
def test_going_back_changes_nothing(keys: list[str]) -> None:
    assert by_lines(SURE, [*keys, "q"])[0] == []


def test_more_readings_than_keys_turn_over() -> None:
    names = [
        "creak",
        "oil_slider",
        "knock_load",
        "harsh",
        "air_loss",
        "sticky",
        "squeak",
        "play_shock",
    ]
    words = " ".join(f"{name} 0.{90 - n}" for n, name in enumerate(names))
    assert len(TALK.heard([*BEGUN, Complained(text=words)])) == 8
    events, _ = by_lines(words, ["w", "7", "2", "", "q"])
    assert events == [Struck(ask="said_play_shock")]
    assert "said_play_shock" in fold([*BEGUN, Complained(text=words), *events]).struck


def test_nothing_understood_can_be_named_all_the_same() -> None:
    card = TALK.reasoner.knowledge.symptoms["said_creak"]
    events, text = by_lines("wibble", ["w", "9", card.name, "1", "", "q"])
    assert "Nothing was understood so far." in text
    assert events == [Answered(ask="said_creak", state=card.answers[0].state)]
