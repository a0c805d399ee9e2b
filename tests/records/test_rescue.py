"""Broken files: every fault is noticed, and what is whole comes over."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest

from diagnose.errors import StoreError
from diagnose.job.events import Event, Happened, Noted
from diagnose.job.state import fold
from diagnose.records.faults import Damaged
from diagnose.records.places import open_store
from diagnose.records.rescue import LOST_NOTE, Rescued, rescue
from diagnose.records.store import JobStore
from tests.real_pack import shop_knowledge
from tests.records.examples import DAY, answer, filled, opened, whole_job


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, list[Event]]]:
    """A file of forty jobs, closed properly, and what is in it."""
    place = tmp_path_factory.mktemp("sound") / "jobs.sqlite3"
    with open_store(place) as store:
        jobs = filled(store, 40)
    return place, jobs


def compare(into: Path, jobs: dict[str, list[Event]], done: Rescued) -> int:
    """Every event is the one that was written, or its loss is told; returns how many are whole."""
    whole = 0
    told = " ".join(done.lost)
    with open_store(into) as store:
        assert store.verify() == []
        for job in store.all_jobs():
            written = jobs[job.name]
            for number, event in enumerate(job.events[: len(written)]):
                if event == written[number]:
                    whole += 1
                else:
                    assert isinstance(event, Noted | Happened), event
                    assert f"Job {job.name}:" in told
            if job.events[: len(written)] != written:
                assert f"Job {job.name}:" in told
                assert job.events[-1].kind in {"closed", "charged", "happened"}
    assert whole == done.events
    return whole


def test_a_sound_file_comes_over_whole(
    sound: tuple[Path, dict[str, list[Event]]], tmp_path: Path
) -> None:
    place, jobs = sound
    before = place.read_bytes()
    done = rescue(place, tmp_path / "new.sqlite3")
    assert (done.jobs, done.lost) == (40, [])
    assert done.events == sum(map(len, jobs.values()))
    assert place.read_bytes() == before
    with open_store(place) as old, open_store(tmp_path / "new.sqlite3") as new:
        assert list(new.all_jobs()) == list(old.all_jobs())
        assert [job.job for job in new.find()] == [job.job for job in old.find()]


@pytest.mark.parametrize("share", [0.05, 0.3, 0.5, 0.77, 0.95, 0.999])
def test_a_truncated_file(
    sound: tuple[Path, dict[str, list[Event]]], tmp_path: Path, share: float
) -> None:
    place = tmp_path / "jobs.sqlite3"
    content = sound[0].read_bytes()
    place.write_bytes(content[: int(len(content) * share)])
    try:
        with open_store(place) as store:
            assert store.verify()
    except Damaged as fault:
        assert "diagnose jobs rescue" in fault.next_step
    done = rescue(place, tmp_path / "new.sqlite3")
    whole = compare(tmp_path / "new.sqlite3", sound[1], done)
    if share >= 0.3:
        assert whole > 20 * share
    assert done.lost


@pytest.mark.parametrize("seed", range(12))
def test_flipped_bits(
    sound: tuple[Path, dict[str, list[Event]]], tmp_path: Path, seed: int
) -> None:
    chance = random.Random(seed)
    content = bytearray(sound[0].read_bytes())
    for _ in range(chance.choice([1, 5, 50])):
        content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
    place = tmp_path / "jobs.sqlite3"
    place.write_bytes(content)
    try:
        with open_store(place) as store:
            faults = store.verify()
            for job, written in sound[1].items():
                try:
                    assert store.load(job) == written
                except StoreError:
                    assert faults, f"job {job} cannot be read, but no fault was found"
    except StoreError as fault:
        assert fault.next_step
    done = rescue(place, tmp_path / "new.sqlite3")
    # A flipped bit may cost a page of rows, or an entry, but not the file.
    assert compare(tmp_path / "new.sqlite3", sound[1], done) > 100


@pytest.mark.parametrize("hole", [slice(0, 100), slice(0, 4096), slice(0, 3 * 4096)])
def test_the_head_of_the_file_is_gone(
    sound: tuple[Path, dict[str, list[Event]]], tmp_path: Path, hole: slice
) -> None:
    content = bytearray(sound[0].read_bytes())
    content[hole] = bytes(len(content[hole]))
    place = tmp_path / "jobs.sqlite3"
    place.write_bytes(content)
    with pytest.raises(Damaged):
        open_store(place)
    done = rescue(place, tmp_path / "new.sqlite3")
    assert compare(tmp_path / "new.sqlite3", sound[1], done) > 300


def test_events_that_are_only_in_the_log_yet(tmp_path: Path) -> None:
    place = tmp_path / "jobs.sqlite3"
    with open_store(place) as store:
        jobs = filled(store, 5)
        for name in ("jobs.sqlite3", "jobs.sqlite3-wal"):
            shutil.copy(tmp_path / name, tmp_path / f"copy-{name}")
    (tmp_path / "copy-jobs.sqlite3").write_bytes(b"")
    done = rescue(tmp_path / "copy-jobs.sqlite3", tmp_path / "new.sqlite3")
    assert compare(tmp_path / "new.sqlite3", jobs, done) == sum(map(len, jobs.values()))


def spoil(place: Path, *words: bytes) -> None:
    content = place.read_bytes()
    for word in words:
        assert content.count(word) >= 1
        content = content.replace(word, b"?" * len(word))
    place.write_bytes(content)


def test_a_lost_event_keeps_its_number(tmp_path: Path) -> None:
    place = tmp_path / "jobs.sqlite3"
    with open_store(place) as store:
        job = store.create(DAY, first=[opened(), *(answer(n) for n in range(1, 6))])
    spoil(place, b"ask_2")
    with open_store(place) as store:
        with pytest.raises(Damaged, match=f"Event 2 of job {job} is damaged"):
            store.load(job)
        with pytest.raises(Damaged):
            store.append(job, 6, [answer(6)])
        assert store.verify() == [f"Event 2 of job {job} is damaged."]
    done = rescue(place, tmp_path / "new.sqlite3")
    assert done.lost == [f"Job {job}: lost event 2."]
    with open_store(tmp_path / "new.sqlite3") as store:
        events = store.load(job)
    assert events[2] == Noted(text=LOST_NOTE)
    assert events[3:6] == [answer(3), answer(4), answer(5)]
    assert all(fold(events).chambers(shop_knowledge().device).values()), (
        "what was lost may have been a filling"
    )


def test_what_was_erased_stays_erased(tmp_path: Path) -> None:
    place = tmp_path / "jobs.sqlite3"
    with open_store(place) as store:
        job = store.create(DAY, first=whole_job(3))
        store.erase_customer(job, person="AB", time=DAY)
        for name in ("jobs.sqlite3", "jobs.sqlite3-wal"):
            content = (tmp_path / name).read_bytes()
            for word in (b"number3", b"town 3", b"overnight 3"):
                assert word not in content, f"{word!r} is still in {name}"
    rescue(place, tmp_path / "new.sqlite3")
    with open_store(place) as old, open_store(tmp_path / "new.sqlite3") as new:
        assert new.load(job) == old.load(job)


def test_refusals(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="There is no such file"):
        rescue(tmp_path / "nowhere", tmp_path / "new")
    (tmp_path / "old").write_bytes(b"")
    (tmp_path / "new").write_bytes(b"precious")
    with pytest.raises(StoreError, match="exists already"):
        rescue(tmp_path / "old", tmp_path / "new")
    assert (tmp_path / "new").read_bytes() == b"precious"


def test_nothing_at_all(tmp_path: Path) -> None:
    (tmp_path / "old").write_bytes(random.Random(0).randbytes(50_000))
    done = rescue(tmp_path / "old", tmp_path / "new")
    assert (done.jobs, done.events) == (0, 0)
    with JobStore(tmp_path / "new") as store:
        assert store.find() == []
