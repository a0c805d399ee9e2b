"""What comes next: lapses the next day, skills not cases, the longest overdue first."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from diagnose.training.ledger import Person, Session
from diagnose.training.scenario import Scenario
from diagnose.training.schedule import due_of, next_scenario, next_skill, reviewed

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def scenario(ident: str, skill: str) -> Scenario:
    system, strategy = skill.split("/")
    return Scenario(id=ident, seed=1, system=system, strategy=strategy, complaint="x", truth=("y",))


def test_a_lapse_comes_back_the_next_day_however_well_it_was_known() -> None:
    card = reviewed(None, "a/b", 100.0, False, NOW)
    for days in (10, 40):
        card = reviewed(card, "a/b", 100.0, False, NOW + timedelta(days=days))
    later = NOW + timedelta(days=200)
    assert due_of(reviewed(card, "a/b", 100.0, True, later)) == later + timedelta(days=1)


def test_the_better_the_score_the_longer_until_it_comes_back() -> None:
    due = [due_of(reviewed(None, "a/b", score, False, NOW)) for score in (20.0, 60.0, 85.0, 99.0)]
    assert due == sorted(due)
    assert NOW < due[0] < due[-1]


def test_overdue_first_then_new_then_the_soonest() -> None:
    soon = {"due": (NOW + timedelta(days=1)).isoformat()}
    past = {"due": (NOW - timedelta(days=1)).isoformat()}
    assert next_skill({"a/x": past, "b/x": soon}, ["a/x", "b/x", "c/x"], NOW) == "a/x"
    assert next_skill({"a/x": soon}, ["a/x", "c/x"], NOW) == "c/x"
    assert next_skill({"a/x": soon}, ["a/x"], NOW) == "a/x"


def test_a_skill_is_practised_on_the_case_that_was_longest_ago() -> None:
    cases = [scenario(name, "a/x") for name in ("one", "two", "three")]
    cards = {"a/x": {"due": NOW.isoformat()}}
    assert next_scenario(cards, ["one", "three", "one"], cases, NOW).id == "two"
    assert next_scenario(cards, ["one", "two", "three", "one"], cases, NOW).id == "two"


def test_no_skill_twice_in_a_row_where_there_is_another() -> None:
    past = {"due": (NOW - timedelta(days=1)).isoformat()}
    assert next_skill({"a/x": past}, ["a/x", "c/x"], NOW, "a/x") == "c/x"
    assert next_skill({"a/x": past}, ["a/x"], NOW, "a/x") == "a/x"


@pytest.mark.parametrize(("lapses", "resting"), [([], "a/x"), (["opened it"], "")])
def test_what_was_unsafe_does_not_rest(lapses: list[str], resting: str) -> None:
    last = Session(
        time="",
        scenario="x",
        skill="a/x",
        score=90.0,
        passed=not lapses,
        lapses=lapses,
        hints=0,
        sure=0.8,
        right=True,
        brier=0.04,
        kinds={},
    )
    assert Person(initials="AB", sessions=[last]).resting == resting
    assert Person(initials="AB").resting == ""
