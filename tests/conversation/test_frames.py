"""A frame question: one reply answers each of its rows, and one key takes that reply back.

Reaches conversation.questions and conversation.answers too.
"""

from __future__ import annotations

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import NONE
from diagnose.job.events import (
    NOT_SURE,
    Answered,
    Complained,
    Described,
    Event,
    LookLeft,
    MoreLeft,
    Opened,
)
from diagnose.job.state import JobState, fold
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())
KNOWLEDGE = TALK.reasoner.knowledge
FRAME = "frame_began"
BEGUN: list[Event] = [
    Opened(pack="rear_air_shock", knowledge=""),
    Complained(text="it creaks"),
    MoreLeft(),
    Described(shock={row.feature: False for row in KNOWLEDGE.pack.first_sight}),
    LookLeft(),
]


def after(value: object) -> list[Event]:
    return [*BEGUN, *TALK.reply(BEGUN, TALK.again(BEGUN, FRAME), value)]


def told(job: JobState) -> dict[str, str]:
    """What the job knows of the rows of the frame."""
    rows = {row.ask for row in KNOWLEDGE.frames[FRAME].rows}
    return {ask: report.state for (ask, _), report in job.reports.items() if ask in rows}


def test_none_stands_last_and_several_may_be_so() -> None:
    prompt = TALK.again(BEGUN, FRAME)
    assert prompt.several and prompt.answers[-1].state == NONE
    assert len(prompt.answers) == len(KNOWLEDGE.frames[FRAME].rows) + 1


def test_what_is_named_is_so_and_the_rest_is_not() -> None:
    said = told(fold(after(["said_after_wash=yes", "said_after_crash=yes"])))
    assert len(said) == len(KNOWLEDGE.frames[FRAME].rows)
    assert {ask for ask, s in said.items() if s == "yes"} == {"said_after_wash", "said_after_crash"}
    assert set(told(fold(after(NONE))).values()) == {"no"}


def test_not_sure_leaves_every_row_unknown() -> None:
    job = fold(after(NOT_SURE))
    assert not told(job)
    assert {row.ask for row in KNOWLEDGE.frames[FRAME].rows} <= job.unsure


@pytest.mark.parametrize("value", [NONE, NOT_SURE, ["said_after_wash=yes", "said_after_crash=yes"]])
def test_one_key_takes_the_whole_reply_back(value: object) -> None:
    events = after(value)
    events += TALK.command(events, TALK.prompt(events), "back")
    job = fold(events)
    assert not told(job) and not job.unsure
    assert TALK.again(events, FRAME) == TALK.again(BEGUN, FRAME)


def test_answers_that_came_one_by_one_are_taken_back_one_by_one() -> None:
    events = [
        *BEGUN,
        Answered(ask="said_after_wash", state="yes", time="2031-04-12T18:00:00+00:00"),
        Answered(ask="said_after_crash", state="yes", time="2031-04-12T18:00:09+00:00"),
    ]
    events += TALK.command(events, TALK.prompt(events), "back")
    assert told(fold(events)) == {"said_after_wash": "yes"}
