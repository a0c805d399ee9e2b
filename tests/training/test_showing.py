"""Choices in words: named by typing what they are called, with their minutes."""

from __future__ import annotations

import pytest

from diagnose.errors import InputError
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.training.menu import everything
from diagnose.training.moment import LOOK, Coach, Moment
from diagnose.training.showing import find, name_of, work_prompt


@pytest.fixture(scope="module")
def moment(coach: Coach) -> Moment:
    return coach.moment(fold(events_of({"complaint": "loses air overnight"}, coach.knowledge)[0]))


def test_a_whole_name_is_found_even_where_others_hold_it(moment: Moment) -> None:
    coach = moment.coach
    names = [name_of(coach, ident) for ident in everything(moment)]
    for ident in everything(moment):
        name = name_of(coach, ident)
        assert names.count(name) == 1
        assert find(moment, name) == ident
        assert find(moment, name.partition(": ")[2].upper() or name) == ident


def test_the_look_is_found_before_it_was_done(moment: Moment) -> None:
    assert find(moment, "five places") == LOOK


def test_words_that_fit_several_name_them(moment: Moment) -> None:
    with pytest.raises(InputError, match="several"):
        find(moment, "soap")


@pytest.mark.parametrize("typed", ["17", "-5", "no such thing at all", "", "a"])
def test_what_names_nothing_stays_as_it_was_typed(moment: Moment, typed: str) -> None:
    assert find(moment, typed) == typed


def test_a_choice_names_its_minutes_where_they_count(moment: Moment) -> None:
    idents = ["bench_overnight_gauge", "look_slider_scored", "open:air_can_service"]
    texts = [a.text for a in work_prompt(moment.coach, moment.view, "", idents).answers]
    assert [text.endswith(" min") for text in texts[:3]] == [True, False, True]
