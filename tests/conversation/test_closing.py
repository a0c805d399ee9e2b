"""The end of a job: the same record from every door, whatever was found.

Reaches job.ending too.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from diagnose.conversation.closing import read_found
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.end_record import close
from diagnose.errors import InputError, RefusedError
from diagnose.job.ending import Ending
from diagnose.job.events import (
    Answered,
    Approved,
    Closed,
    ClosingBegun,
    Complained,
    Event,
    Opened,
    Recorded,
    SheetChosen,
    Stepped,
)
from diagnose.job.facts import Facts
from diagnose.job.state import JobState, fold
from diagnose.learning.outcome import outcome_of
from diagnose.records.places import JOB_FILE, open_store
from tests.cli.conftest import DAY, Run, job, run  # noqa: F401 - fixtures
from tests.real_pack import shop_reasoner
from tests.reports.pages import knowledge

TALK = Conversation(shop_reasoner())
BEGUN: list[Event] = [
    Opened(pack="rear_air_shock", knowledge="", at="bench"),
    Complained(text="it loses air overnight"),
    ClosingBegun(),
]

#: an end, as a command says it, as keys say it, as another program says it
DOORS = {
    "options": (
        "--found", "can_seal_worn,valve_core_loose,none_of_these", "--words", "a wasp",
        "--stage", "air_can_service", "--minutes", "55", "--parts", "7.5", "--test", "passed",
    ),
    "keys": (
        "can seal", "1", "4", "2", "a wasp", "", "1", "55", "7,5", "2", "1", "", "", "", "5",
    ),
    "lines": (
        ["can_seal_worn", "valve_core_loose", "none_of_these"], "a wasp", "nothing_else",
        "air_can_service", 55, "7.5", "complaint", "passed", "", "", "",
    ),
}  # fmt: skip


def answered(*values: object) -> list[Event]:
    """The events after these replies."""
    events = list(BEGUN)
    for value in values:
        events += TALK.reply(events, TALK.prompt(events), value, time=DAY, person="CD")
    return events


@pytest.mark.parametrize("door", DOORS)
def test_every_door_writes_the_same_record(
    door: str,
    run: Run,  # noqa: F811
    job: str,  # noqa: F811
    own_home: Path,
) -> None:
    said = DOORS[door]
    command = ("jobs", "close", job, "--person", "CD")
    if door == "options":
        done = run(*command, *said)
    elif door == "keys":
        done = run(*command, given="".join(f"{key}\n" for key in said))
    else:
        given = "".join(json.dumps({"answer": value}) + "\n" for value in said)
        done = run(*command, "--json-lines", given=given)
    assert done.status == 0, done.err
    with open_store(own_home / JOB_FILE) as store:
        events = store.load(job)
    state = fold(events)
    assert state.closed is not None, done.out
    assert state.closed.model_dump(exclude={"time"}) == {
        "kind": "closed",
        "person": "CD",
        "ended": "",
        "found": ["can_seal_worn", "valve_core_loose", "unlisted"],
        "words": "a wasp",
        "stage": "air_can_service",
        "job": "",
        "minutes": 55.0,
        "cured": True,
        "test": "complaint",
    }
    assert state.facts == Facts(parts_cost=7.5)
    outcome = outcome_of(events, state)
    assert outcome is not None
    assert (outcome.looked, outcome.minutes, outcome.cured) == (True, 55.0, True)
    assert outcome.believed and outcome.facts == {"parts_cost": 7.5}


def ended(events: list[Event]) -> tuple[JobState, Closed]:
    closed = fold(events).closed
    assert closed is not None
    return fold(events), closed


def test_a_check_that_was_repeated_is_named(job: str) -> None:  # noqa: F811
    with pytest.raises(InputError, match="one of the answers"):
        answered("can_seal_worn", "", "", "", "", "bench_overnight_gauge")
    ending = Ending(found=["can_seal_worn"], test="bench_overnight_gauge", passed=True)
    new = close(TALK.reasoner, BEGUN, ending, {})
    assert [e.test for e in new if isinstance(e, Closed)] == ["bench_overnight_gauge"]


@pytest.mark.parametrize(
    "ending",
    [
        Ending(found=["unlisted"]),
        Ending(found=[], stage="air_cann"),
        Ending(found=[], test="bench_nothing", passed=True),
        Ending(found=[], minutes=-1),
        Ending(found=["not_looked"], ended="replaced", passed=False),
    ],
)
def test_a_record_that_cannot_be_is_refused(ending: Ending) -> None:
    with pytest.raises(InputError):
        close(TALK.reasoner, BEGUN, ending, {})


def test_where_nobody_looked_it_is_asked_how_it_ended_and_no_more() -> None:
    _, closed = ended(answered("not_looked", "not_collected"))
    assert (closed.found, closed.ended, closed.stage) == (
        ["not_looked"],
        "not_collected",
        "no_service",
    )
    served = answered("not_looked", "ours")
    assert TALK.prompt(served).id == "closing:stage"


def test_a_test_that_did_not_pass_opens_it_again_and_the_next_end_is_asked_anew() -> None:
    events = answered("can_seal_worn", "", "", "", "", "complaint", "failed")
    state = fold(events)
    assert (state.closed, state.choices.ending, state.facts.not_cured) == (None, None, 1)
    assert [e.found for e in events if isinstance(e, Closed)] == [["can_seal_worn"]]
    again = [*events, ClosingBegun()]
    assert TALK.prompt(again).id == "found"


def test_an_answer_is_taken_back_one_by_one() -> None:
    events = answered("can_seal_worn", "", "air_can_service")
    prompt = TALK.prompt(events)
    assert prompt.id == "closing:minutes"
    events += TALK.command(events, prompt, "back")
    assert TALK.prompt(events).id == "closing:stage"


@pytest.mark.parametrize("value", ["soon", "-3", "1e9", "nan"])
def test_numbers_that_cannot_be(value: str) -> None:
    with pytest.raises(InputError):
        answered("can_seal_worn", "", "", value)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("can_seal_worn", ("can_seal_worn",)),
        ("can seal worn, valve_core_loose", ("can_seal_worn", "valve_core_loose")),
        ("nothing", ()),
        ("not_looked", ("not_looked",)),
        ("none_of_these, can_seal_worn", ("unlisted", "can_seal_worn")),
    ],
)
def test_causes_by_id_name_or_word(text: str, found: tuple[str, ...]) -> None:
    assert read_found(text, knowledge()) == found


@pytest.mark.parametrize("text", ["nothing, can_seal_worn", "not_looked,nothing", "can_seel_wurn"])
def test_what_cannot_be_true_together_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_found(text, knowledge())


def closing(*before: Event) -> list[Event]:
    """A job whose end is asked for, something done to it before."""
    opened = Opened(pack="rear_air_shock", knowledge="", at="bench")
    return [opened, Complained(text="it loses air overnight"), *before, ClosingBegun()]


def said(events: list[Event], *values: object) -> list[Event]:
    for value in values:
        events += TALK.reply(events, TALK.prompt(events), value, time=DAY, person="CD")
    return events


AGREED = Approved(stages=["air_can_service"], up_to=80)
DONE = ("can_seal_worn", "nothing_else", "air_can_service")


def test_a_bill_above_what_was_agreed_is_called_before_it_is_closed() -> None:
    """Minutes at the shop's rate and parts, the one rule for a price; 60 min and 20 come to 92."""
    events = said(closing(AGREED), *DONE, 60, 20)
    prompt = TALK.prompt(events)
    assert "It came to 92 EUR (60 min, parts 20 EUR); agreed up to 80 EUR" in prompt.text
    assert TALK.reply(events, prompt, "not_called") == [], "it is left open"
    events = said(events, "called", "complaint", "passed", "", "", "")
    ended = fold(events)
    assert ended.closed is not None and ended.approved is not None
    assert ended.approved.up_to == 92


def test_a_bill_within_the_limit_asks_nothing() -> None:
    events = said(closing(AGREED), *DONE, 40, 18)
    assert TALK.prompt(events).id == "closing:test"


def test_a_command_cannot_close_it_over_the_limit_either() -> None:
    ending = Ending(found=["can_seal_worn"], stage="air_can_service", minutes=60, parts=20)
    with pytest.raises(RefusedError, match="more than was agreed"):
        close(TALK.reasoner, closing(AGREED), ending, {"time": DAY, "person": "CD"})


def test_a_sheet_that_is_not_through_is_named_before_it_is_closed_as_done() -> None:
    steps = [Stepped(stage="air_can_service", number=n) for n in range(3)]
    events = said(closing(AGREED, *steps), *DONE)
    prompt = TALK.prompt(events)
    assert prompt.id == "closing:unticked" and "not ticked, from step 4 on" in prompt.text
    assert TALK.prompt(said(events, "done")).id == "closing:minutes"


def test_the_end_proposes_what_the_sheet_says() -> None:
    values = {"sag as left": "17 mm", "the complaint's own test as left": "silent"}
    note = Recorded(stage="air_can_service", number=30, values=values)
    events = said(closing(AGREED, note), *DONE, 40, 18)
    prompt = TALK.prompt(events)
    assert prompt.default == "complaint" and "Written down: silent" in prompt.text
    events = said(events, "", "passed", "165 psi")
    assert "rebound" in TALK.prompt(events).text, "sag as left stands on the sheet"
    events = said(events, "")
    assert (fold(events).facts.as_left or {})["sag"] == "17 mm"


def test_from_the_end_one_key_goes_back_to_the_sheet() -> None:
    steps = [Stepped(stage="air_can_service", number=n) for n in range(3)]
    events = said(closing(AGREED, SheetChosen(stage="air_can_service"), *steps), *DONE)
    events = said(events, "go_on")
    assert fold(events).choices.ending is None
    assert TALK.prompt(events, "CD").id == "step:air_can_service:3"


@pytest.mark.parametrize(
    ("more", "closes"),
    [
        ({}, False),
        ({"unticked": "left"}, True),
        ({"unticked": "done"}, True),
        ({"ended": "referred"}, True),
    ],
)
def test_a_command_names_the_steps_that_are_left_as_well(
    more: dict[str, Any], closes: bool
) -> None:
    """Another stage named as done does not hide the sheet that lies open."""
    events = closing(AGREED, Stepped(stage="air_can_service", number=0))
    ending = Ending(found=["can_seal_worn"], stage="no_service", **more)
    if closes:
        assert close(TALK.reasoner, events, ending, {"time": DAY, "person": "CD"})
        return
    with pytest.raises(RefusedError, match=r"not ticked, from step 2 on.*--unticked"):
        close(TALK.reasoner, events, ending, {"time": DAY, "person": "CD"})


def test_the_word_at_the_sheet_carries_the_limit_that_was_said() -> None:
    events: list[Event] = [
        Opened(pack="rear_air_shock", knowledge="", at="bench"),
        Complained(text="it is flat every morning"),
        Answered(ask="bench_bubbles_valve", state="stream", by="bench"),
        SheetChosen(stage="valve_core"),
    ]
    while not (prompt := TALK.prompt(events, "CD")).id.startswith("approval:"):
        command = next(name for name in ("skip", "not_sure") if name in prompt.commands)
        events += TALK.command(events, prompt, command, time=DAY, person="CD")
    (word,) = [e for e in TALK.reply(events, prompt, "agreed") if isinstance(e, Approved)]
    assert word.up_to is not None
    assert f"not above {word.up_to:.0f} without a call" in prompt.text


def test_as_left_is_read_like_the_line_of_a_sheet() -> None:
    """'12 furlongs' once went on the customer's card."""
    events = said(closing(AGREED), *DONE, 40, 18, "complaint", "passed")
    prompt = TALK.prompt(events)
    assert prompt.text == "As left, air pressure [psi]?"
    for wrong in ("banana", "12 furlongs", "9000"):
        with pytest.raises(InputError):
            TALK.reply(events, prompt, wrong)
    events = said(events, "165", "17", "6")
    assert fold(events).facts.as_left == {
        "air pressure": "165 psi",
        "sag": "17 mm",
        "rebound clicks from closed": "6",
    }
