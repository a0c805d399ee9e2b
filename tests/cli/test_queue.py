"""What waits in the shop: states, order, filters. Reaches cli.job_rows and cli.morning too."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.job.events import Begun, Booked, Event, Promised, Quoted
from diagnose.records.places import JOB_FILE, open_store
from tests.cli.conftest import DAY, Run

NEVER = "2999-01-01T08:00:00+00:00"


def add(home: Path, *more: Event) -> str:
    from diagnose.job.events import Complained, Opened

    first = [Opened(pack="rear_air_shock", knowledge="", time=DAY), Complained(text="sinks")]
    with open_store(home / JOB_FILE) as store:
        return store.create(DAY, first=[*first, *more])


def names(text: str) -> list[str]:
    return [row["job"] for row in json.loads(text)]


def test_what_ripens_next_comes_first_and_what_is_due_is_marked(
    run: Run, own_home: Path, job: str
) -> None:
    sleeps = Begun(ask="bench_overnight_gauge", readings={"before": "165 psi"}, time=DAY)
    asleep = add(own_home, sleeps.model_copy(update={"due": NEVER}))
    due = add(own_home, sleeps.model_copy(update={"due": DAY}))
    asked = add(own_home, Quoted(stages=["air_can_service"], time="2030-01-01T08:00:00"))
    rows = json.loads(run("jobs", "queue", "--json").out)
    assert [row["job"] for row in rows] == [asked, due, asleep, job]
    assert [row["state"] for row in rows] == ["approval", "test", "test", "look"]
    # DAY lies ahead of the clock of this machine, or not; the far one does for ever.
    assert rows[2]["ripe"] is False
    text = run("jobs", "queue").out
    assert f"{asleep} on test, reading again after 1 Jan 2999 08:00" in " ".join(text.split())


def test_a_day_that_is_past_is_due(run: Run, own_home: Path) -> None:
    late = add(own_home, Booked(time=DAY), Promised(day="2020-01-01", time=DAY))
    out = run("jobs", "queue").out
    assert out.startswith(f"! {late}")
    assert "promised for 1 Jan 2020, which is past" in " ".join(out.split())


def test_by_state_by_person_and_no_more_than_asked_for(run: Run, own_home: Path, job: str) -> None:
    asked = add(own_home, Quoted(stages=["air_can_service"], time=DAY))
    assert names(run("jobs", "queue", "--state", "approval", "--json").out) == [asked]
    assert names(run("jobs", "list", "--state", "look", "--json").out) == [job]
    assert names(run("jobs", "queue", "--by", "CD", "--json").out) == [job]
    assert "1 more: diagnose jobs queue --limit 2" in run("jobs", "queue", "--limit", 1).out
    assert run("jobs", "queue", "--state", "bench").out.startswith("Nothing waits.")


def test_closed_jobs_wait_for_nothing(run: Run, job: str) -> None:
    run("jobs", "close", job, "--found", "nothing")
    assert names(run("jobs", "queue", "--json").out) == []
    assert names(run("jobs", "list", "--state", "closed", "--json").out) == [job]


def test_an_unknown_state_names_the_near_one(run: Run) -> None:
    done = run("jobs", "queue", "--state", "aproval")
    assert done.status == 2
    assert "Nearest: approval" in done.err


@pytest.mark.parametrize("columns", ["40", "24"])
def test_rows_fit_a_narrow_screen(
    run: Run, own_home: Path, job: str, columns: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    add(own_home, Quoted(stages=["air_can_service"], time=DAY), Promised(day="2020-01-01"))
    for command in ("queue", "list"):
        lines = run("jobs", command).out.splitlines()
        assert max(map(len, lines)) <= int(columns)


def test_the_morning_names_each_open_job_once_and_refuses_ready_while_a_quote_is_out(
    run: Run, job: str, tmp_path: Path
) -> None:
    assert run("jobs", "quote", job).status == 0
    refused = run("jobs", "ready", job)
    assert refused.status == 1 and "still out" in refused.err
    told = run("jobs", "morning")
    assert told.status == 0, told.err
    assert told.out.count(f"- {job}") == 1 and "asked since" in told.out
    page = run("jobs", "morning", "--html", tmp_path / "m.html")
    assert page.status == 0 and job in (tmp_path / "m.html").read_text("utf-8")
