"""Jobs from one store to another and through lines of JSON."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from diagnose.errors import InputError
from diagnose.job.events import EVENT
from diagnose.records import exchange
from diagnose.records.exchange import export_jsonl, import_jsonl, push
from diagnose.records.places import open_store
from diagnose.records.store import JobStore
from tests.records.examples import DAY, answer, filled, opened, whole_job
from tests.records.memory import MemoryStore


def contents(store: JobStore) -> dict[str, object]:
    return {job.uid: (job.name, job.erased, job.events) for job in store.all_jobs()}


@pytest.fixture
def source() -> JobStore:
    return MemoryStore()


def test_there_and_back_through_lines(source: JobStore, store: JobStore) -> None:
    filled(source, 7)
    source.erase_customer("0412-03", person="AB", time=DAY)
    source.create(DAY, job="empty")
    lines = io.StringIO()
    assert export_jsonl(source, lines) == 8
    moved = import_jsonl(store, io.StringIO(lines.getvalue() + "\n"), where="a file")
    assert len(moved.added) == 8
    assert contents(store) == contents(source)
    again = import_jsonl(store, io.StringIO(lines.getvalue()), where="a file")
    assert (again.added, again.extended, len(again.unchanged)) == ([], [], 8)
    assert contents(store) == contents(source)
    assert store.verify() == []


def test_each_line_is_plain_json(source: JobStore) -> None:
    events = filled(source, 1)["0412-01"]
    lines = io.StringIO()
    export_jsonl(source, lines)
    read = json.loads(lines.getvalue())
    assert read["job"] == "0412-01"
    assert [EVENT.validate_python(event) for event in read["events"]] == events


def test_only_what_is_new_is_pushed(source: JobStore, store: JobStore) -> None:
    job = source.create(DAY, first=[opened(), answer(1)])
    push(source, store)
    source.append(job, 2, [answer(2)])
    moved = push(source, store)
    assert (moved.added, moved.extended) == ([], [job])
    assert store.load(job) == [opened(), answer(1), answer(2)]
    # The server went on alone; the older copy takes nothing away.
    store.append(job, 3, [answer(3)])
    assert push(source, store).unchanged == [job]
    assert len(store.load(job)) == 4


def test_both_went_on(source: JobStore, store: JobStore) -> None:
    job = source.create(DAY, first=[opened()])
    push(source, store)
    source.append(job, 1, [answer(1, "AB")])
    store.append(job, 1, [answer(1, "CD")])
    moved = push(source, store)
    assert moved.conflicts == {job: f"Both copies went on after event 1; here it is job {job}."}
    assert store.load(job) == [opened(), answer(1, "CD")]
    assert source.load(job) == [opened(), answer(1, "AB")]


def test_a_name_that_another_job_has(source: JobStore, store: JobStore) -> None:
    store.create(DAY, first=[opened("ZZ")])
    source.create(DAY, first=[opened()])
    moved = push(source, store)
    assert moved.renamed == {"0412-01": "0412-02"}
    assert store.load("0412-01") == [opened("ZZ")]
    source.append("0412-01", 1, [answer(1)])
    moved = push(source, store)
    assert (moved.extended, moved.renamed) == (["0412-02"], {"0412-01": "0412-02"})
    assert store.load("0412-02") == [opened(), answer(1)]


def test_what_was_erased_does_not_come_back(source: JobStore, store: JobStore) -> None:
    job = source.create(DAY, first=whole_job(3))
    push(source, store)
    store.erase_customer(job, person="AB", time=DAY)
    assert push(source, store).unchanged == [job]
    assert store.find(search="number3") == []


def test_erasing_is_passed_on(source: JobStore, store: JobStore) -> None:
    job = source.create(DAY, first=whole_job(3))
    push(source, store)
    source.erase_customer(job, person="AB", time=DAY)
    assert push(source, store).extended == [job]
    assert contents(store) == contents(source)
    assert store.find(search="number3") == []


def test_more_jobs_than_one_batch(
    source: JobStore, store: JobStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(exchange, "BATCH", 3)
    jobs = filled(source, 8)
    assert push(source, store).added == list(jobs)
    assert contents(store) == contents(source)


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ("{", "a file:2: This is no exported job"),
        ('{"job": "../x", "uid": "", "events": []}', "job: String should match"),
        (
            f'{{"job": "a", "uid": "{"0" * 32}", "events": [{{"kind": "danced"}}]}}',
            "events.0: Input tag 'danced'",
        ),
    ],
)
def test_a_line_that_cannot_be_read(source: JobStore, line: str, complaint: str) -> None:
    good = f'{{"job": "a", "uid": "{"1" * 32}", "events": []}}'
    with pytest.raises(InputError) as caught:
        import_jsonl(source, [good, line], where="a file")
    assert complaint in str(caught.value)
    assert contents(source) == {}, "nothing of the batch is in"


def test_a_local_file_and_a_server_agree_afterwards(place: str | Path, tmp_path: Path) -> None:
    with open_store(tmp_path / "local.sqlite3") as local, open_store(place) as there:
        filled(local, 5)
        push(local, there)
        push(there, local)
        assert contents(local) == contents(there)
