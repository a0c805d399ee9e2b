"""What is kept of people: all of it readable, signed by hand, erased at a word."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.errors import InputError, StoreError
from diagnose.training.apprentices import APPRENTICES, play
from diagnose.training.exercise import Move
from diagnose.training.generate import generate
from diagnose.training.ledger import Ledger, Open, Person, table
from diagnose.training.moment import Coach

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def person(coach: Coach) -> Person:
    person = Person(initials="AB")
    for seed in range(2):
        person.finish(play(coach, generate(coach.compiled, seed), APPRENTICES[1]), NOW)
    return person


def test_what_is_saved_comes_back(tmp_path: Path, person: Person, coach: Coach) -> None:
    held = Open(scenarios=[generate(coach.compiled, 9)], moves=[[Move(kind="hint")]])
    person.put_aside(held)
    ledger = Ledger(tmp_path / "people")
    ledger.save(person)
    assert ledger.load("AB") == person
    assert ledger.everybody() == [person]
    assert [path.name for path in (tmp_path / "people").iterdir()] == ["AB.json"]


def test_erased_is_gone(tmp_path: Path, person: Person) -> None:
    ledger = Ledger(tmp_path)
    ledger.save(person)
    ledger.erase("AB")
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(InputError):
        ledger.erase("AB")


@pytest.mark.parametrize("initials", ["../x", "", "a b", "averylongname", "x.json"])
def test_initials_are_letters(tmp_path: Path, initials: str) -> None:
    with pytest.raises(InputError):
        Ledger(tmp_path).load(initials)


def test_a_damaged_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "AB.json").write_text("{", "utf-8")
    with pytest.raises(StoreError, match="AB"):
        Ledger(tmp_path).load("AB")


def test_what_is_put_aside_again_takes_the_place_of_what_was(coach: Coach) -> None:
    person = Person(initials="AB")
    one, other = ([generate(coach.compiled, seed)] for seed in (8, 9))
    for scenarios, count in ((one, 1), (other, 1), (one, 2)):
        person.put_aside(Open(scenarios=scenarios, moves=[[Move(kind="hint")] * count]))
    assert [len(held.moves[0]) for held in person.open] == [1, 2]
    found = person.left_at(one)
    assert found is not None
    assert len(found.moves[0]) == 2
    person.drop(one)
    assert person.left_at(one) is None
    assert person.left_at(other) is not None


def test_the_table_has_a_row_for_each_session(person: Person) -> None:
    rows = list(csv.DictReader(io.StringIO(table([person]))))
    assert [row["initials"] for row in rows] == ["AB", "AB"]
    assert [float(row["score"]) for row in rows] == [s.score for s in person.sessions]
