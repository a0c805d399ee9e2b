"""Words in doubt are asked about with the next best readings, never taken silently."""

from __future__ import annotations

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import MAIN, UNDERSTOOD, Prompt
from diagnose.job.events import NOT_SURE, Answered, Complained, Event, Opened, Understood
from diagnose.job.state import fold
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())


def job(words: str) -> list[Event]:
    return [Opened(pack="rear_air_shock", knowledge=""), Complained(text=words)]


def in_doubt() -> tuple[list[Event], Prompt]:
    """The first complaint of some vague ones that is put back to the customer."""
    for words in ("it is weird at the back", "not right since the trip", "feels off somehow",
                  "it goes funny", "rubbish over bumps", "the rear is dead", "mushy",
                  "it wallows a bit maybe", "odd noise sometimes"):  # fmt: skip
        events = job(words)
        prompt = TALK.prompt(events)
        if prompt.id == UNDERSTOOD and any("=" in answer.state for answer in prompt.answers):
            return events, prompt
    raise AssertionError("none of these is in doubt any more: find vaguer words")


def test_readings_to_choose_from_stand_under_keys_of_their_own() -> None:
    _, prompt = in_doubt()
    others = [answer for answer in prompt.answers if "=" in answer.state]
    assert 1 <= len(others) <= 3
    keys = [answer.key for answer in prompt.answers]
    assert len(set(keys)) == len(keys)
    known = {ident for ident, *_ in prompt.heard}
    assert not known & {answer.state.partition("=")[0] for answer in others}


def test_another_reading_counts_as_the_customers_answer_and_its_rival_does_not() -> None:
    events, prompt = in_doubt()
    other = next(answer for answer in prompt.answers if "=" in answer.state)
    symptom, _, state = other.state.partition("=")
    new = TALK.reply(events, prompt, other.state)
    assert new[-1] == Answered(ask=symptom, state=state, by="customer")
    assert all(event.state == NOT_SURE for event in new[:-1] if isinstance(event, Answered))
    assert (symptom, "customer") in fold([*events, *new]).reports


def test_right_is_kept_and_the_question_does_not_come_again() -> None:
    events, prompt = in_doubt()
    new = TALK.reply(events, prompt, "right")
    assert new == [Understood()]
    assert TALK.prompt([*events, *new]).id != UNDERSTOOD


def test_what_was_not_understood_gets_the_main_complaints_under_one_key_each() -> None:
    prompt = TALK.prompt(job("qwrtz"))
    assert prompt.id == MAIN
    keys = [answer.key for answer in prompt.answers]
    assert len(set(keys)) == len(keys) and "0" not in keys, "0 is 'not sure'"
    lines = TALK.reasoner.knowledge.pack.main_complaints
    assert [a.text for a in prompt.answers][-len(lines) :] == [line.text for line in lines]
