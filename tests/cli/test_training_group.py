"""A group's votes: the most win, a tie is talked over, ten minutes are ten minutes."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from diagnose.cli.main import main
from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError
from diagnose.reasoning.judgement import AnswerLine
from diagnose.training.group import Group

pytestmark = pytest.mark.usefixtures("practice")

KEYS = ("1", "2", "3", ".", "+")
WHAT = Prompt(
    "question",
    "what_next",
    "What next?",
    answers=tuple(AnswerLine(key=key, state=f"s{key}", text=f"t{key}") for key in KEYS),
)
SURE = Prompt("question", "sure", "How sure?")


def group(now: list[float] | None = None) -> tuple[Group, list[str]]:
    said: list[str] = []
    times = now or [0.0]
    return Group(lambda: times[-1], said.append), said


@pytest.mark.parametrize(
    ("typed", "choice"),
    [("3 1 3", "3"), ("3,1,3", "3"), ("2", "2"), (". . 1", "."), ("1 1 17 17 17 x", "1")],
)
def test_the_most_votes_for_something_on_the_list_win(typed: str, choice: str) -> None:
    votes, said = group()
    assert votes.choice(typed, WHAT) == choice
    assert said[0].endswith(f"t{choice}")


@pytest.mark.parametrize("typed", ["1 2", "1 1 3 3 2", "17", "soap", "-"])
def test_a_tie_and_a_vote_for_nothing_are_put_again(typed: str) -> None:
    votes, said = group()
    with pytest.raises(InputError):
        votes.choice(typed, WHAT)
    assert said == []


@pytest.mark.parametrize(
    ("typed", "middle"), [("80 60 70", "70 %"), ("80 %, 60 %", "70 %"), ("90", "90 %")]
)
def test_how_sure_a_group_is_lies_in_the_middle(typed: str, middle: str) -> None:
    assert group()[0].choice(typed, SURE) == middle


def test_no_number_is_no_confidence() -> None:
    with pytest.raises(InputError):
        group()[0].choice("rather", SURE)


def test_ten_minutes_are_counted_and_then_over() -> None:
    now = [0.0]
    votes, _ = group(now)
    assert votes.time_words == "Minute 1 of 10."
    now.append(599.0)
    assert votes.time_words == "Minute 10 of 10."
    assert not votes.over
    now.append(600.0)
    assert votes.over
    assert votes.time_words == ""


def test_a_group_plays_on_one_screen_and_nothing_is_kept(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], own_home: Path
) -> None:
    typed = "+ + 1\n1 2\n8 8 1\n1 1 2\n1\n1\n8 8\n3 3 1\n80 60 70\n"
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    assert main(["train", "--group", "--plain", "--case", "van_strap_short"]) == 0
    out = capsys.readouterr().out
    for words in ("2 of 3 for +", "as many votes for 1 as for 2", "Minute 1 of 10", "Score"):
        assert words in out
    assert not (own_home / "training").exists()


def test_a_group_without_a_case_gets_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("q\n"))
    assert main(["train", "--group", "--plain"]) == 0
    assert "The customer: " in capsys.readouterr().out
