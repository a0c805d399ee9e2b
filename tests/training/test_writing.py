"""A case written from a job: only what is missing is asked, nothing is lost, it can be played."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from diagnose.errors import InputError
from diagnose.job.events import Answered, Closed, Complained, Described, Event, HandedOver, Opened
from diagnose.training.moment import Coach
from diagnose.training.scenario import number_of
from diagnose.training.writing import (
    QUESTIONS,
    Draft,
    answered,
    drafts,
    finish,
    keep,
    proposed,
    resume,
)


def job(coach: Coach, found: str = "can_seal_worn") -> list[Event]:
    knowledge = coach.knowledge
    return [
        Opened(pack=knowledge.pack.id, knowledge=knowledge.fingerprint),
        Described(shock={"customer": "Anna Example", "bike": "Examplemaker trail bike"}),
        Complained(text="Anna says her Examplemaker loses air overnight"),
        Answered(ask="said_air_loss", state="overnight", by="customer"),
        HandedOver(to="", at="bench"),
        Answered(ask="bench_bubbles_wiper", state="stream", by="bench"),
        Closed(found=[found], stage="air_can_service"),
    ]


def written(events: list[Event]) -> Draft:
    draft = Draft(job="1124-07")
    for part, typed in (
        ("complaint", ""),
        ("title", "Wiper, not valve"),
        ("teaching", "Soap the wiper first."),
        ("offered", ""),
    ):
        draft = answered(draft, part, typed, events)
    return draft


def test_names_are_left_out(coach: Coach) -> None:
    words = proposed(Draft(job="x"), "complaint", job(coach))
    assert words == "the customer says her the bike loses air overnight"


def test_it_is_taken_in_played_and_no_draft_is_left(coach: Coach, tmp_path: Path) -> None:
    events = job(coach)
    draft = written(events)
    keep(tmp_path, draft)
    assert draft.missing == list(QUESTIONS)
    assert proposed(draft, "title", events) == "Wiper, not valve"
    scenario, steps = finish(draft, events, coach, tmp_path, tmp_path / "own")
    assert steps > 0
    text = (tmp_path / "own" / "wiper_not_valve.yaml").read_text("utf-8")
    assert "Anna" not in text
    assert "Examplemaker" not in text
    assert scenario.truth == ("can_seal_worn",)
    assert yaml.safe_load(text)["offered"] is True
    assert number_of(scenario.id).isdigit()
    assert list(drafts(tmp_path).iterdir()) == []


def test_an_unfinished_one_goes_on_where_it_was(coach: Coach, tmp_path: Path) -> None:
    assert resume(tmp_path, "1124-07") == Draft(job="1124-07")
    draft = answered(Draft(job="1124-07"), "complaint", "loses air", job(coach))
    keep(tmp_path, draft)
    assert resume(tmp_path, "1124-07") == draft
    assert resume(tmp_path, "1124-07").missing == ["title", "teaching", "offered"]


@pytest.mark.parametrize(("part", "typed"), [("title", ""), ("title", "?"), ("offered", "nobody")])
def test_what_is_no_answer_is_refused(coach: Coach, part: str, typed: str) -> None:
    with pytest.raises(InputError):
        answered(Draft(job="x"), part, typed, job(coach))


def test_what_does_not_fit_is_kept_to_be_mended(coach: Coach, tmp_path: Path) -> None:
    events = job(coach, found="can_cracked")
    draft = written(events)
    keep(tmp_path, draft)
    with pytest.raises(InputError):
        finish(draft, events, coach, tmp_path, tmp_path / "own")
    assert resume(tmp_path, "1124-07") == draft
    assert (drafts(tmp_path) / "wiper_not_valve.yaml").exists()
    assert not (tmp_path / "own").exists()
