"""What it has, in one question: after the open question, before the look or at the bench.

Reaches conversation.questions, conversation.answers and conversation.intake too.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.intake import sheet_put
from diagnose.conversation.prompts import LOOK, MORE, NONE, SIGHT
from diagnose.errors import InputError
from diagnose.job.events import (
    NOT_SURE,
    Answered,
    Complained,
    Described,
    Event,
    HandedOver,
    MoreLeft,
    Opened,
    SightLeft,
)
from diagnose.job.state import fold
from tests.kettle import kettle_reasoner
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())
DEVICE = TALK.reasoner.knowledge.device
ROWS = TALK.reasoner.knowledge.pack.first_sight
BENCH = HandedOver(to="AB", at="bench")


def counter(channel: str = "bike_here") -> list[Event]:
    return [
        Opened(pack="rear_air_shock", knowledge="", channel=channel),  # type: ignore[arg-type]
        Complained(text="it creaks"),
        MoreLeft(),
    ]


def after(events: list[Event], value: object) -> list[Event]:
    """The events after a reply to the question."""
    prompt = TALK.prompt(events)
    assert prompt.id == SIGHT
    return [*events, *TALK.reply(events, prompt, value)]


def shock(events: Sequence[Event]) -> dict[str, object]:
    return fold(events).shock


def test_it_comes_between_the_open_question_and_the_look_and_takes_several_at_once() -> None:
    events = counter()
    assert TALK.prompt(events[:-1]).id == MORE
    prompt = TALK.prompt(events)
    assert (prompt.id, prompt.several, prompt.default) == (SIGHT, True, "")
    states = [answer.state for answer in prompt.answers]
    assert states == [*(row.feature for row in ROWS), NONE]
    events = after(events, ["piggyback", "2"])
    known = shock(events)
    assert known["piggyback"] is known["lockout"] is True
    assert {known[row.feature] for row in ROWS[3:]} == {False}
    assert TALK.prompt(events).id == LOOK


def test_what_one_thing_brings_along_is_there_too() -> None:
    known = shock(after(counter(), ["remote_lockout"]))
    assert known["remote_lockout"] is known["lockout"] is True
    assert known["piggyback"] is False


def test_none_of_these_and_a_single_one_need_no_list() -> None:
    assert not any(shock(after(counter(), NONE)).values())
    one = shock(after(counter(), "A travel ring on the slider"))
    assert [name for name, there in one.items() if there] == ["travel_ring"]
    with pytest.raises(InputError):
        after(counter(), ["a ring", "nonsense"])


def test_not_sure_leaves_all_unknown_and_is_asked_once_more_at_the_bench() -> None:
    events = after(counter(), NOT_SURE)
    assert isinstance(events[-1], SightLeft) and shock(events) == {}
    assert TALK.prompt(events).id == LOOK
    back = [*events, *TALK.command(events, TALK.prompt(events), "back")]
    assert TALK.prompt(back).id == SIGHT
    bench = [*events, BENCH]
    assert TALK.prompt(bench).id == SIGHT
    assert TALK.prompt(after(bench, NOT_SURE)).id != SIGHT


def test_only_what_nobody_knows_is_asked_for() -> None:
    some = Described(shock={"piggyback": True, "lockout": False})
    states = [answer.state for answer in TALK.prompt([*counter(), some]).answers]
    assert "piggyback" not in states and "lockout" not in states and "travel_ring" in states
    every = Described(shock={row.feature: False for row in ROWS})
    assert TALK.prompt([*counter(), every]).id == LOOK


def test_a_data_sheet_tells_what_its_model_has() -> None:
    values = {"piggyback": "yes", "direct_mount": "no", "stroke_mm": 55.0}
    events = [*counter(), *sheet_put("trail-55", values, DEVICE.sheet, {})]
    assert shock(events) == {"piggyback": True, "direct_mount": False}
    states = [answer.state for answer in TALK.prompt(events).answers]
    assert "piggyback" not in states and "direct_mount" not in states


@pytest.mark.parametrize("channel", ["phone", "mail"])
def test_nobody_sees_it_over_the_telephone(channel: str) -> None:
    assert TALK.prompt(counter(channel)).id != SIGHT


def test_in_the_middle_of_the_work_nothing_is_asked_of_that() -> None:
    for state in ("no", NOT_SURE):
        began = [*counter(), BENCH, Answered(ask="bench_length", state=state, by="bench")]
        assert TALK.prompt(began).id != SIGHT


def test_in_the_middle_of_the_look_an_older_job_goes_on_with_it() -> None:
    seen = Answered(ask="look_bolt_loose", state="yes", by="counter")
    assert TALK.prompt([*counter(), seen]).id == LOOK
    assert TALK.prompt([*counter(), seen, BENCH]).id == SIGHT


def test_a_device_without_such_parts_has_no_such_question() -> None:
    talk = Conversation(kettle_reasoner())
    events: list[Event] = [Opened(pack="kettle", knowledge=""), Complained(text="it drips")]
    events.append(MoreLeft())
    assert talk.prompt(events).id == LOOK
