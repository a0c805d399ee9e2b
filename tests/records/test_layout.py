"""Files of older and newer versions, and how a place is named."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest

from diagnose.errors import StoreError
from diagnose.job.events import Begun, Noted
from diagnose.records import store
from diagnose.records.database import PAGE
from diagnose.records.faults import NewerFile
from diagnose.records.layout import VERSION
from diagnose.records.places import open_store
from tests.records.examples import DAY, answer, child, filled, opened, said


def run_in(place: str | Path, *statements: str) -> None:
    with open_store(place) as opened_store, opened_store.writing() as session:
        for statement in statements:
            session.run(statement)


def test_an_older_store_is_brought_up_to_date(place: str | Path) -> None:
    with open_store(place) as before:
        jobs = filled(before, 5)
        listed = before.find()
    run_in(
        place,
        "DROP INDEX IF EXISTS jobs_searched",
        "DROP INDEX IF EXISTS jobs_latest",
        "ALTER TABLE jobs DROP COLUMN stage",
        "ALTER TABLE jobs DROP COLUMN erased",
        "UPDATE jobs SET first_words = 'as an older version put it'",
        "UPDATE about SET value = '0' WHERE name = 'layout'",
    )
    with open_store(place) as after:
        assert after.find() == listed
        assert {job: after.load(job) for job in jobs} == jobs
        assert after.verify() == []
        assert after.append("0412-01", 10, [Noted(text="goes on")]) == 11
        with after.writing() as session:
            listed_by = "pg_indexes" if session.server else "sqlite_master"
            column = "indexname" if session.server else "name"
            names = {name for (name,) in session.rows(f"SELECT {column} FROM {listed_by}")}
        assert names & {"jobs_searched", "jobs_latest"}


def test_a_store_of_the_first_layout_learns_where_its_jobs_stand(place: str | Path) -> None:
    night = "2031-04-12T18:00:00"
    asleep = Begun(ask="a_gauge", readings={"before": "165 psi"}, due=night, time=DAY)
    with open_store(place) as before:
        jobs = filled(before, 4)
        jobs[before.create(DAY, first=[opened(), asleep])] = [opened(), asleep]
        listed = before.find()
    run_in(
        place,
        "ALTER TABLE jobs DROP COLUMN since",
        "ALTER TABLE jobs DROP COLUMN due",
        "UPDATE jobs SET state = 'booked' WHERE state != 'closed'",
        "UPDATE about SET value = '1' WHERE name = 'layout'",
    )
    with open_store(place) as after:
        assert after.find() == listed
        assert [(s.state, s.due) for s in after.find(state="test")] == [("test", night)]
        assert {job: after.load(job) for job in jobs} == jobs
        waiting = {s.job for s in after.find(unfinished=True)}
        assert waiting == {s.job for s in listed if s.state != "closed"}


def test_an_upgrade_that_fails_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "jobs.sqlite3"
    with open_store(place) as before:
        filled(before, 3)
    run_in(place, "ALTER TABLE jobs DROP COLUMN stage", "UPDATE about SET value = '0'")

    def broken(*_: object) -> None:
        raise RuntimeError("cut off")

    with monkeypatch.context() as patch:
        patch.setattr(store, "summarise", broken)
        with pytest.raises(RuntimeError):
            open_store(place)
    reader = sqlite3.connect(place)
    assert reader.execute("SELECT value FROM about").fetchall() == [("0",)]
    assert "stage" not in [row[1] for row in reader.execute("PRAGMA table_info(jobs)")]
    reader.close()
    with open_store(place) as after:
        assert after.find()[0].stage == "small_service"


def test_a_newer_store_is_refused(place: str | Path) -> None:
    run_in(place, "UPDATE about SET value = '99' WHERE name = 'layout'")
    with pytest.raises(NewerFile, match=f"layout 99; this version knows layouts up to {VERSION}"):
        open_store(place)


def test_an_event_of_a_newer_version_is_refused(place: str | Path) -> None:
    with open_store(place) as newer:
        job = newer.create(DAY, first=[opened(), answer(1)])
        body = '{"kind":"weighed","grams":400}'
        with newer.writing() as session:
            session.run(
                "UPDATE events SET body = ?, digest = ? WHERE number = 1",
                (body, store.checksum(job, 1, body)),
            )
        with pytest.raises(NewerFile, match=f"Event 1 of job {job} is of a kind"):
            newer.load(job)


def test_two_first_starts_at_once(place: str | Path) -> None:
    def work(pipe: int) -> None:
        with open_store(place, patience=30) as own:
            os.write(pipe, own.create(DAY, first=[opened()]).encode())

    children = [child(work) for _ in range(4)]
    names = sorted(said(pipe) for _, pipe in children)
    for pid, _ in children:
        assert os.waitpid(pid, 0)[1] == 0
    assert names == ["0412-01", "0412-02", "0412-03", "0412-04"]


def test_a_commit_waits_for_the_disk(tmp_path: Path) -> None:
    with open_store(tmp_path / "jobs.sqlite3") as file, file.writing() as session:
        pragmas = {
            name: session.value(f"PRAGMA {name}")
            for name in ("synchronous", "journal_mode", "secure_delete", "page_size")
        }
    assert pragmas == {
        "synchronous": 2,
        "journal_mode": "wal",
        "secure_delete": 1,
        "page_size": PAGE,
    }


@pytest.mark.parametrize("place", ["mysql://somewhere/jobs", "http://shop.example/", "://"])
def test_what_is_no_place_for_jobs(place: str) -> None:
    with pytest.raises(StoreError, match="This is no place for jobs"):
        open_store(place)


def test_a_file_may_be_named_as_a_url(tmp_path: Path) -> None:
    with open_store(f"sqlite:///{tmp_path}/jobs.sqlite3") as one:
        job = one.create(DAY)
    with open_store(tmp_path / "jobs.sqlite3") as two:
        assert two.load(job) == []
        assert two.place == str(tmp_path / "jobs.sqlite3")
