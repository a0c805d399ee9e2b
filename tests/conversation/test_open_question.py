"""The open question: once, before anything else is asked; words go on the complaint, 'no' does not.

Reaches conversation.understanding and conversation.answers too.
"""

from __future__ import annotations

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import MORE, SIGHT
from diagnose.job.events import Answered, Complained, Event, LookLeft, MoreLeft, Opened
from diagnose.job.state import fold
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())
BEGUN: list[Event] = [Opened(pack="rear_air_shock", knowledge=""), Complained(text="it creaks")]


@pytest.mark.parametrize("said", ["Nothing else", "nothing", "No.", ""])
def test_no_and_enter_alone_say_that_there_is_no_more(said: str) -> None:
    prompt = TALK.prompt(BEGUN)
    assert (prompt.id, prompt.kind, prompt.default) == (MORE, "text", "Nothing else")
    new = TALK.reply(BEGUN, prompt, said)
    assert new == [MoreLeft()]
    assert TALK.prompt([*BEGUN, *new]).id == SIGHT


def test_not_sure_is_no_more_and_back_asks_again() -> None:
    prompt = TALK.prompt(BEGUN)
    events = [*BEGUN, *TALK.command(BEGUN, prompt, "not_sure")]
    assert TALK.prompt(events).id == SIGHT
    assert TALK.prompt([*events, *TALK.command(events, TALK.prompt(events), "back")]) == prompt


def test_other_words_go_on_the_complaint_and_it_is_not_asked_again() -> None:
    new = TALK.reply(BEGUN, TALK.prompt(BEGUN), "it was serviced last week")
    assert [event.kind for event in new] == ["complained"]
    events = [*BEGUN, *new]
    assert fold(events).said == ("it creaks", "it was serviced last week")
    assert TALK.prompt(events).id != MORE


@pytest.mark.parametrize(
    "asked",
    [
        LookLeft(),
        Answered(ask="said_air_loss", state="overnight"),
        Answered(ask="look_bolt_loose", state="no", by="counter"),
    ],
)
def test_an_older_job_that_was_asked_something_goes_on(asked: Event) -> None:
    assert TALK.prompt([*BEGUN, asked]).id != MORE
