"""The check list on paper: cautions whole before their check, letters to tick, how to type it."""

from __future__ import annotations

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.job.job_file import events_of
from diagnose.reports.check_list import check_list
from tests.reports.jobs import reasoner
from tests.reports.pages import knowledge

EVENTS = events_of({"at": "bench", "complaint": "sits low and it knocks"}, knowledge())[0]
LISTED = Conversation(reasoner()).check_list(EVENTS)


@pytest.mark.parametrize("width", [32, 42, 80])
def test_text_fits_the_paper(width: int) -> None:
    text = check_list(LISTED, 7, knowledge(), name="1125-07").text(width)
    assert all(len(line) <= width for line in text.splitlines())


def test_each_check_has_its_cautions_before_it_and_its_answers_after() -> None:
    text = " ".join(check_list(LISTED, 7, knowledge()).text(80).split())
    assert len(LISTED) > 1
    place = 0
    for prompt in LISTED:
        question = text.index(prompt.text, place)
        for caution in prompt.cautions:
            hazard = " ".join(knowledge().cautions[caution.id].hazard.split())
            assert text.index(hazard, place) < question
        for letter, answer in zip("abcdefgh", prompt.answers, strict=False):
            place = text.index(f"[ ] {letter} {answer.text}", question)


def test_the_foot_says_what_to_type() -> None:
    text = " ".join(check_list(LISTED, 7, knowledge(), name="1125-07").text(80).split())
    assert "diagnose bench 1125-07 --results 7" in text


def test_an_empty_list_says_so() -> None:
    assert "worth its minutes" in check_list((), 7, knowledge()).text(42)


def test_the_page_holds_the_same_checks() -> None:
    page = check_list(LISTED, 7, knowledge(), name="<7>").page()
    assert "&lt;7&gt;" in page and "<7>" not in page
    assert page.count("<h2>") == len(LISTED) + 1
