"""Readings in doubt are asked about at once and only where it matters; corrections cost one key."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import MAIN, MORE, NONE, SIGHT, UNDERSTOOD, Prompt
from diagnose.errors import InputError
from diagnose.job.events import Answered, Complained, Event, MoreLeft, Opened, Struck, Understood
from diagnose.job.state import fold
from tests.heard_words import spelled_talk
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())

DOUBTFUL = "creak 0.4 stuck_short 0.4 oil_slider 0.9"


@pytest.fixture(scope="module")
def talk() -> Conversation:
    return spelled_talk()


def job(words: str) -> list[Event]:
    return [Opened(pack="rear_air_shock", knowledge=""), Complained(text=words)]


def standing(talk: Conversation, events: list[Event]) -> dict[str, str]:
    return {line.id.removeprefix("said_"): line.standing for line in talk.heard(events)}


def weighing(talk: Conversation, events: list[Event]) -> set[str]:
    """Symptoms that weigh in the judgement of a job."""
    return {item.ask for item in talk.reasoner.view(fold(events)).belief.items}


def asked(talk: Conversation, words: str = DOUBTFUL) -> tuple[list[Event], Prompt]:
    events = job(words)
    prompt = talk.prompt(events)
    assert prompt.id == UNDERSTOOD
    return events, prompt


def test_all_readings_in_doubt_are_asked_about_at_once_and_none_of_them_weighs(
    talk: Conversation,
) -> None:
    events, prompt = asked(talk)
    states = [answer.state.partition("=")[0] for answer in prompt.answers]
    assert states == ["said_creak", "said_stuck_short", "none"]
    assert all("?" in answer.text and "('" in answer.text for answer in prompt.answers[:-1])
    assert weighing(talk, events) == {"said_oil_slider"}
    assert standing(talk, events)["creak"] == "asked"


def test_a_caution_is_said_before_it_is_known_whether_it_was_meant(talk: Conversation) -> None:
    _, prompt = asked(talk)
    assert "leave_valve_alone" in [caution.id for caution in prompt.first_words]


def test_no_danger_is_denied_by_an_enter_of_habit(talk: Conversation) -> None:
    _, grave = asked(talk)
    _, plain = asked(talk, "oil_slider 0.9 creak 0.4 squeak 0.4")
    assert (grave.default, plain.default) == ("", NONE)


def test_none_of_these_strikes_them_out_for_good(talk: Conversation) -> None:
    events, prompt = asked(talk)
    new = talk.reply(events, prompt, NONE)
    assert new == [Struck(ask="said_creak"), Struck(ask="said_stuck_short"), Understood()]
    after = [*events, *new]
    assert weighing(talk, after) == {"said_oil_slider"}
    again = [*after, Complained(text="air_loss 0.9")]
    assert talk.prompt(again).id != UNDERSTOOD, "never asked again, whatever else is said"
    assert standing(talk, again)["creak"] == "struck"


def test_one_key_takes_the_whole_reply_back(talk: Conversation) -> None:
    events, prompt = asked(talk)
    events += talk.reply(events, prompt, "none")
    events += talk.command(events, talk.prompt(events), "back")
    assert talk.prompt(events) == prompt


def test_what_is_chosen_counts_as_an_answer_and_the_rest_is_asked(talk: Conversation) -> None:
    events, prompt = asked(talk)
    state = prompt.answers[1].state
    new = talk.reply(events, prompt, prompt.answers[1].key)
    assert new == [Answered(ask="said_stuck_short", state=state.partition("=")[2])]
    assert "said_stuck_short" in weighing(talk, [*events, *new])


def test_several_are_chosen_in_one_reply(talk: Conversation) -> None:
    events, prompt = asked(talk)
    new = talk.reply(events, prompt, [prompt.answers[1].state])
    assert [event.kind for event in new] == ["answered", "struck", "understood"]
    assert talk.prompt([*events, *new]).id == MORE


@pytest.mark.parametrize("words", ["oil_slider 0.9 creak 0.9", "creak 0.9 oil_slider 0.5"])
def test_what_is_sure_costs_no_question_but_whether_there_is_more(
    words: str, talk: Conversation
) -> None:
    prompt = talk.prompt(job(words))
    assert prompt.id == MORE
    assert talk.prompt([*job(words), MoreLeft()]).id == SIGHT
    assert "words" in prompt.commands and len(prompt.heard) == 2
    assert [line.probability for line in prompt.heard] == sorted(
        (line.probability for line in prompt.heard), reverse=True
    )


def test_what_would_not_change_the_call_is_not_asked(talk: Conversation) -> None:
    """A bent reading of little weight beside a crack that was said plainly."""
    events = job("crack_seen 0.95 knob_off 0.3")
    prompt = talk.prompt(events)
    view = talk.reasoner.view(fold(events))
    assert prompt.id != UNDERSTOOD and not view.in_doubt
    assert {line.standing for line in prompt.heard} == {"counts", "asked"}


def test_in_doubt_and_nothing_else_known_it_is_asked_whatever_it_changes(
    talk: Conversation,
) -> None:
    events, prompt = asked(talk, "knob_off 0.3")
    assert "also" not in prompt.text
    events += talk.reply(events, prompt, "none")
    assert talk.prompt(events).id == MAIN


def test_what_was_not_understood_gets_the_nine_main_complaints() -> None:
    prompt = TALK.prompt(job("qwrtz"))
    assert prompt.id == MAIN
    assert [answer.key for answer in prompt.answers] == list("123456789")
    lines = TALK.reasoner.knowledge.pack.main_complaints
    assert [a.text for a in prompt.answers] == [line.text for line in lines[:9]]
    assert [line.words for line in prompt.not_heard] == ["qwrtz"]


def test_what_an_older_version_confirmed_as_shown_still_counts(talk: Conversation) -> None:
    """It asked 'does the customer mean' of everything at once; 'yes' was one event."""
    events = [*job("creak 0.4 oil_slider 0.3"), Struck(ask="said_oil_slider"), Understood()]
    assert weighing(talk, events) == {"said_creak"}
    assert standing(talk, events) == {"creak": "counts", "oil_slider": "struck"}
    assert talk.prompt([*events, MoreLeft()]).id == SIGHT


# corrections -----------------------------------------------------------------------------------


def test_the_same_key_strikes_out_and_brings_back(talk: Conversation) -> None:
    events = job("oil_slider 0.9 creak 0.9")
    before = talk.prompt(events)
    events += talk.correct(events, before, {"said_creak": "struck"})
    assert standing(talk, events)["creak"] == "struck"
    assert weighing(talk, events) == {"said_oil_slider"}
    events += talk.correct(events, before, {"said_creak": "meant"})
    assert standing(talk, events)["creak"] == "counts"
    assert talk.prompt(events) == before


def test_a_reading_in_doubt_is_meant_struck_and_meant_again(talk: Conversation) -> None:
    events, prompt = asked(talk)
    for wish, now in (("meant", "answered"), ("struck", "struck"), ("meant", "answered")):
        events += talk.correct(events, prompt, {"said_creak": wish})
        assert standing(talk, events)["creak"] == now
        assert ("said_creak" in weighing(talk, events)) == (wish == "meant")


def test_what_was_struck_out_is_not_asked_about_unless_a_floor_may_rest_on_it(
    talk: Conversation,
) -> None:
    events = job("creak 0.9 stuck_short 0.9")
    events += talk.correct(
        events, talk.prompt(events), {"said_creak": "struck", "said_stuck_short": "struck"}
    )
    options = [option.id for option in talk.reasoner.view(fold(events)).advice.options]
    assert "said_creak" not in options and "said_stuck_short" in options


def test_another_state_and_a_symptom_that_was_not_heard_are_answers(talk: Conversation) -> None:
    events = job("oil_slider 0.9")
    prompt = talk.prompt(events)
    new = talk.correct(events, prompt, {"said_oil_slider": "drops", "said_creak": "yes"})
    assert new == [
        Answered(ask="said_oil_slider", state="drops"),
        Answered(ask="said_creak", state="yes"),
    ]
    line = next(line for line in talk.heard([*events, *new]))
    assert (line.state, line.standing) == ("drops", "answered")


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        ({"said_creek": "struck"}, "said_creak"),
        ({"said_creak": "perhaps"}, "struck, meant"),
        ({"said_creak": "struck"}, "nothing of the words was heard"),
    ],
)
def test_a_correction_that_cannot_be_says_what_can(
    wishes: dict[str, Any], said: str, talk: Conversation
) -> None:
    events = job("oil_slider 0.9")
    with pytest.raises(InputError, match=said):
        talk.correct(events, talk.prompt(events), wishes)
