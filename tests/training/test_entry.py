"""Own cases: nonsense is turned away at the door, a closed job makes a case."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from diagnose.errors import InputError
from diagnose.job.events import Answered, Closed, Complained, Event, HandedOver, Opened
from diagnose.job.job_file import answer_events
from diagnose.training.entry import case_of_job, enter
from diagnose.training.moment import Coach

GOOD = "leak_and_a_clack"


def draft(cases: Path, folder: Path, ident: str = "own_case", **changes: object) -> Path:
    data = yaml.safe_load((cases / f"{GOOD}.yaml").read_text("utf-8"))
    for key, value in {"id": ident, **changes}.items():
        data[key] = {**data[key], **value} if isinstance(value, dict) else value
    path = folder / f"{ident}.yaml"
    path.write_text(yaml.safe_dump(data, sort_keys=False), "utf-8")
    return path


def test_a_good_case_is_taken_in_once(coach: Coach, cases: Path, tmp_path: Path) -> None:
    path = draft(cases, tmp_path)
    taken = enter(path, tmp_path / "own", coach)
    assert taken.read_text("utf-8") == path.read_text("utf-8")
    with pytest.raises(InputError, match="already"):
        enter(path, tmp_path / "own", coach)


def test_a_truth_that_its_answers_contradict_is_turned_away(
    coach: Coach, cases: Path, tmp_path: Path
) -> None:
    path = draft(cases, tmp_path, truth=["damper_top_out_worn"])
    with pytest.raises(InputError, match=r"hardly ever|not the call"):
        enter(path, tmp_path / "own", coach)
    assert not (tmp_path / "own").exists()


def test_a_case_that_nobody_could_solve_is_turned_away(
    coach: Coach, cases: Path, tmp_path: Path
) -> None:
    path = draft(cases, tmp_path, truth=["can_cracked"], counter={}, bench={})
    with pytest.raises(InputError):
        enter(path, tmp_path / "own", coach)


def test_a_wrong_unit_is_named_with_its_line(coach: Coach, cases: Path, tmp_path: Path) -> None:
    path = draft(cases, tmp_path, bench={"bench_play_shock": {"play": "0.7 bar"}})
    with pytest.raises(InputError, match=r"own_case\.yaml: [\s\S]*line \d+: 'bar' is a unit"):
        enter(path, tmp_path / "own", coach)


def test_a_closed_job_becomes_a_case(coach: Coach, tmp_path: Path) -> None:
    knowledge = coach.knowledge
    events: list[Event] = [
        Opened(pack=knowledge.pack.id, knowledge=knowledge.fingerprint),
        Complained(text="loses air overnight"),
        Answered(ask="said_air_loss", state="overnight", by="customer"),
        HandedOver(to="", at="bench"),
        Answered(ask="bench_bubbles_wiper", state="stream", by="bench"),
        *answer_events("bench_play_shock", {"play": "0 mm"}, knowledge, "bench"),
        Closed(found=["can_seal_worn"], stage="air_can_service"),
    ]
    path = tmp_path / "own_job.yaml"
    path.write_text(case_of_job("own_job", events, coach), "utf-8")
    taken = yaml.safe_load(enter(path, tmp_path / "own", coach).read_text("utf-8"))
    assert taken["truth"] == ["can_seal_worn"]
    assert taken["bench"]["bench_play_shock"] == {"play": "0 mm"}
    assert taken["counter"] == {"said_air_loss": "overnight"}


def test_an_open_job_is_no_case(coach: Coach) -> None:
    with pytest.raises(InputError, match="closed"):
        case_of_job("x", [Complained(text="loses air")], coach)


@pytest.mark.parametrize("text", ["", "- a\n- b: [", "17", "id: x", "\x00", "id: [1, 2]"])
def test_what_is_no_case_at_all_is_refused_by_line(coach: Coach, tmp_path: Path, text: str) -> None:
    path = tmp_path / "x.yaml"
    path.write_text(text, "utf-8")
    with pytest.raises(InputError, match=r"x\.yaml: [\s\S]*line \d+: "):
        enter(path, tmp_path / "own", coach)
