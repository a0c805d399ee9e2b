"""Listing, showing, printing, erasing and moving jobs from the command line.

Reaches cli.exchange and cli.papers too.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from diagnose.job.events import Closed, Struck
from diagnose.records.places import JOB_FILE, open_store
from tests.cli.conftest import DAY, Run
from tests.reports.pages import read


def test_a_job_is_listed_and_found_by_its_words(at_shop: Run, job: str) -> None:
    done = at_shop("jobs", "list", "--search", "overnight", "--json")
    assert done.status == 0
    (row,) = json.loads(done.out)
    assert (row["job"], row["state"]) == (job, "look")
    assert at_shop("jobs", "list", "--search", "bicycle").out.startswith("No job like that")


def test_words_in_a_list_cannot_steer_the_terminal(at_shop: Run, job: str) -> None:
    assert "\x1b" not in at_shop("jobs", "list").out + at_shop("jobs", "show", job).out


def test_show_tells_state_judgement_and_how_to_go_on(at_shop: Run, job: str) -> None:
    assert "Not judged yet" in at_shop("jobs", "show", job).out
    at_shop("jobs", "ticket", job)
    text = at_shop("jobs", "show", job).out
    assert "What it may be" in text
    assert f"Go on with: diagnose bench {job}" in text
    body = json.loads(at_shop("jobs", "show", job, "--json").out)
    assert body["resume"] == f"diagnose bench {job}"
    assert body["judgement"]["stage"]["id"]


def test_an_unknown_job_is_refused_with_what_to_do(at_shop: Run, job: str) -> None:
    done = at_shop("jobs", "show", "9999-99")
    assert (done.status, done.out) == (1, "")
    assert "no job 9999-99" in done.err
    assert "diagnose jobs list" in done.err


@pytest.mark.parametrize("paper", ["ticket", "sheet", "handover"])
def test_each_paper_prints_as_text_and_as_a_page(
    at_shop: Run, job: str, paper: str, tmp_path: Path
) -> None:
    done = at_shop("jobs", paper, job, "--width", "32")
    assert done.status == 0
    assert max(map(len, done.out.splitlines())) <= 32
    page = tmp_path / "p.html"
    assert at_shop("jobs", paper, job, "--html", str(page), "--paper", "receipt").status == 0
    assert read(page.read_text("utf-8")).faults == []
    assert json.loads(at_shop("jobs", paper, job, "--json").out)["ride"]


def test_what_a_paper_said_is_kept_once(at_shop: Run, job: str, own_home: Path) -> None:
    at_shop("jobs", "ticket", job)
    at_shop("jobs", "ticket", job)
    with open_store(own_home / JOB_FILE) as store:
        assert [e.kind for e in store.load(job)].count("judged") == 1


def test_a_page_that_cannot_be_written_is_refused(at_shop: Run, job: str, tmp_path: Path) -> None:
    done = at_shop("jobs", "ticket", job, "--html", str(tmp_path / "no" / "p.html"))
    assert done.status == 1
    assert "cannot be written" in done.err


def test_erasing_asks_for_a_plain_yes(at_shop: Run, job: str) -> None:
    assert at_shop("jobs", "erase", job).status == 2
    assert "overnight" in at_shop("jobs", "show", job).out
    assert at_shop("jobs", "erase", job, "--yes").status == 0
    assert "overnight" not in at_shop("jobs", "show", job, "--json").out


def test_jobs_go_out_and_come_in_once(
    at_shop: Run, job: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = tmp_path / "all.jsonl"
    assert at_shop("jobs", "export", str(lines)).status == 0
    other = str(tmp_path / "other.sqlite3")
    first = json.loads(at_shop("jobs", "import", str(lines), "--store", other, "--json").out)
    again = json.loads(at_shop("jobs", "push", other, "--json").out)
    assert (first["added"], again["unchanged"]) == ([job], [job])
    table = at_shop("jobs", "export", "-", "--csv").out
    assert table.splitlines()[1].startswith(job)


def test_what_was_struck_out_goes_to_the_author(at_shop: Run, job: str, own_home: Path) -> None:
    assert at_shop("jobs", "export", "-", "--heard").out == ""
    with open_store(own_home / JOB_FILE) as store:
        store.append(job, len(store.load(job)), [Struck(ask="said_air_loss")])
    (line,) = map(json.loads, at_shop("jobs", "export", "-", "--heard").out.splitlines())
    assert (line["symptom"], line["verdict"]) == ("said_air_loss", "struck")
    assert line["text"][line["start"] : line["end"]] == line["words"]


def test_whom_to_call_is_a_table_of_its_own(run: Run, job: str, own_home: Path) -> None:
    today = datetime.now(UTC)
    with open_store(own_home / JOB_FILE) as store:
        events = store.load(job)
        for days in (13, 14, 27, 28):
            closed = (today - timedelta(days=days)).isoformat(timespec="seconds")
            store.create(closed, job=f"done-{days}", first=[*events, Closed(time=closed)])
        gone = Closed(time=(today - timedelta(days=14)).isoformat(), ended="not_wanted")
        store.create(DAY, job="gone", first=[*events, gone])
    rows = run("jobs", "export", "-", "--calls").out.splitlines()[1:]
    assert sorted(row.split(",")[0] for row in rows) == ["done-14", "done-27"]


def test_a_whole_store_is_whole_and_a_damaged_one_is_rescued(
    at_shop: Run, job: str, own_home: Path, tmp_path: Path
) -> None:
    assert at_shop("jobs", "verify").out == "Everything stored is whole.\n"
    saved = tmp_path / "saved.sqlite3"
    done = at_shop("jobs", "rescue", str(own_home / JOB_FILE), str(saved), "--json")
    assert done.status == 0
    assert json.loads(done.out)["jobs"] == 1
    assert json.loads(at_shop("jobs", "list", "--store", str(saved), "--json").out)[0]["job"] == job
