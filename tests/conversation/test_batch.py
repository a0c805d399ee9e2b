"""A check list: safe from paper, the same under its number, results whole or not at all."""

from __future__ import annotations

import pytest

from diagnose.conversation.batch import letter, read_line, read_one
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError
from diagnose.job.events import NOT_SURE, Answered, Complained, Event, HandedOver, Opened
from diagnose.reasoning.judgement import AnswerLine, ReadingLine
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())
JOB: list[Event] = [
    Opened(pack="rear_air_shock", knowledge=""),
    Complained(text="sits low, loses air overnight and there is a knock"),
    HandedOver(to="AB", at="bench"),
]
BY_EYE = Prompt(
    "question",
    "look",
    "What is to be seen?",
    answers=tuple(AnswerLine(key=str(n), state=f"s{n}", text=f"t{n}") for n in (1, 2, 3)),
    commands=("not_sure",),
    why="look",
)
BY_GAUGE = Prompt(
    "readings",
    "gauge",
    "What does it read?",
    readings=(
        ReadingLine(name="first", text="at first", unit="psi"),
        ReadingLine(name="then", text="then", unit="psi", optional=True),
    ),
    answers=BY_EYE.answers[:2],
    why="gauge",
)


def test_nothing_on_a_list_does_anything_to_the_shock_or_waits_for_a_key() -> None:
    listed = TALK.check_list(JOB, "AB")
    assert listed
    for prompt in listed:
        knowledge = TALK.reasoner.knowledge
        assert not knowledge.device.effects(knowledge.checks[prompt.id].does)
        assert prompt.kind in ("question", "readings") and not prompt.acknowledge


def test_a_list_is_the_same_under_its_number_and_another_one_later() -> None:
    listed = TALK.check_list(JOB)
    first = listed[0]
    later = [*JOB, Answered(ask=first.id, state=first.answers[0].state, by="bench")]
    assert TALK.check_list(later[: len(JOB)]) == listed
    assert first.id not in {prompt.id for prompt in TALK.check_list(later)}


def test_a_job_that_is_still_at_the_counter_has_the_same_list() -> None:
    assert [p.id for p in TALK.check_list(JOB[:2])] == [p.id for p in TALK.check_list(JOB)]


@pytest.mark.parametrize(
    "line", ["1 b, 2 165 psi / 3,5 bar", "2: 165/3,5 bar; 1) b", "1 B ; 2 165/3,5 bar"]
)
def test_one_line_gives_all_results(line: str) -> None:
    values = {r.prompt.id: r.value for r in read_line(line, [BY_EYE, BY_GAUGE])}
    assert values == {"look": "s2", "gauge": {"first": "165 psi", "then": "3,5 bar"}}


def test_what_was_not_done_gives_nothing_and_not_sure_says_so() -> None:
    (result,) = read_line("1 -, 2 ?", [BY_EYE, BY_GAUGE])
    assert (result.prompt.id, result.value) == ("gauge", NOT_SURE)
    assert read_line("", [BY_EYE]) == []


@pytest.mark.parametrize("line", ["3 a", "0 a", "a", "1 d", "1 165", "2 1/2/3", "1 a, 1 b", "1"])
def test_what_fits_no_line_is_refused_with_what_would_fit(line: str) -> None:
    with pytest.raises(InputError) as error:
        read_line(line, [BY_EYE, BY_GAUGE])
    assert error.value.next_step


def test_every_letter_of_a_real_list_is_an_answer_that_the_conversation_takes() -> None:
    for prompt in TALK.check_list(JOB):
        for n, answer in enumerate(prompt.answers):
            result = read_one(letter(n), prompt)
            assert result is not None and result.value == answer.state
            new = TALK.reply(JOB, prompt, result.value, person="AB")
            (told,) = [event for event in new if isinstance(event, Answered)]
            assert (told.ask, told.state, told.person) == (prompt.id, answer.state, "AB")
