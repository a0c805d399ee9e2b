"""Each reading is judged as it is typed, in the unit that its question names."""

from __future__ import annotations

import pytest

from diagnose.conversation.awaiting import first_readings
from diagnose.conversation.prompts import Prompt
from diagnose.conversation.taking import take
from diagnose.errors import InputError
from diagnose.job.events import Measured
from diagnose.job.job_file import answer_events
from diagnose.job.measuring import wanted_readings
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.said_step import reading_line
from tests.real_pack import shop_reasoner


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return shop_reasoner().knowledge


def asked(knowledge: Knowledge, check: str) -> Prompt:
    lines = tuple(map(reading_line, wanted_readings(knowledge.checks[check])))
    return Prompt("readings", check, "What does it show?", readings=lines)


def test_a_bare_number_has_the_unit_of_its_question_in_every_measuring_check(
    knowledge: Knowledge,
) -> None:
    """Once one reading took a bare number and the next refused it."""
    seen = 0
    for check in knowledge.checks.values():
        prompt = asked(knowledge, check.id)
        for line in prompt.readings:
            low = line.usual.split(" to ")[0].split()[0]
            said, question = take(knowledge, prompt, line.name, low)
            assert said == f"{low} {line.unit}".strip() and not question
            with pytest.raises(InputError):
                take(knowledge, prompt, line.name, "abc")
            seen += 1
    assert seen > 40


@pytest.mark.parametrize("typed", ["9000", "-3", "12 mm", "165 bsi", "twelve"])
def test_what_cannot_be_is_said_without_an_id_of_the_code(typed: str, knowledge: Knowledge) -> None:
    prompt = asked(knowledge, "bench_pressure")
    with pytest.raises(InputError) as caught:
        take(knowledge, prompt, "gauge", typed)
    assert caught.value.next_step
    assert "_" not in str(caught.value)


def test_what_is_hardly_believable_is_asked_about(knowledge: Knowledge) -> None:
    prompt = asked(knowledge, "bench_pressure")
    assert take(knowledge, prompt, "gauge", "30 bar")[1].endswith("Was 30 psi meant?")


def test_the_same_in_a_job_file_and_kept_with_its_unit(knowledge: Knowledge) -> None:
    (event,) = answer_events("bench_pressure", {"gauge": 165}, knowledge, "bench", "")
    assert isinstance(event, Measured) and event.readings == {"gauge": "165 psi"}


def test_the_same_for_the_first_half_of_two(knowledge: Knowledge) -> None:
    check = knowledge.checks["bench_overnight_gauge"]
    typed = {"before": 165, "wait": 8}
    begun = first_readings(check, typed, 12.0, "2031-04-12T18:00:00+00:00", "AB")
    assert begun.readings == {"before": "165 psi"}
    assert begun.due.startswith("2031-04-13T02:00")
