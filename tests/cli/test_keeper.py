"""One job and its store: begun with the first words, nothing lost while the store refuses."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from diagnose.cli.keeper import Keeper
from diagnose.errors import StoreError
from diagnose.records.places import open_store
from diagnose.records.store import JobStore, MemoryStore
from diagnose.session.events import Answered, Complained, Event, Opened

OPENED = Opened(pack="kettle", knowledge="")
WORDS = Complained(text="it drips")
ANSWER = Answered(ask="said_drips", state="drips")


class Sulking(MemoryStore):
    """A store that takes nothing while it sulks."""

    sulks = False

    def append(self, job: str, expected_count: int, new: Sequence[Event]) -> int:
        if self.sulks:
            raise StoreError("the disk is full.")
        return super().append(job, expected_count, new)


def keeper(store: JobStore, job: str = "", events: Sequence[Event] = (OPENED,)) -> Keeper:
    return Keeper(lambda: store, lambda: "2026-03-02T09:00:00+00:00", events, job)


def test_a_job_begins_with_its_first_words() -> None:
    opened: list[int] = []
    store = MemoryStore()

    def open_it() -> JobStore:
        opened.append(1)
        return store

    keeps = Keeper(open_it, lambda: "2026-03-02T09:00:00+00:00", [OPENED])
    assert (keeps.job, opened) == ("", [])
    keeps.save([WORDS])
    assert store.load(keeps.job) == [OPENED, WORDS]
    keeps.save([ANSWER])
    assert store.load(keeps.job) == [OPENED, WORDS, ANSWER]
    assert opened == [1]


def test_what_could_not_be_saved_goes_along_with_the_next() -> None:
    store = Sulking()
    keeps = keeper(store)
    keeps.save([WORDS])
    store.sulks = True
    with pytest.raises(StoreError):
        keeps.save([ANSWER])
    assert keeps.fault is not None
    store.sulks = False
    keeps.save([ANSWER.model_copy(update={"state": "dry"})])
    assert keeps.fault is None
    assert [getattr(e, "state", "") for e in store.load(keeps.job)] == ["", "", "drips", "dry"]


def test_a_job_of_the_store_is_gone_on_with(tmp_path: Path) -> None:
    place = tmp_path / "jobs.sqlite3"
    with open_store(place) as store:
        first = keeper(store)
        first.save([WORDS])
        again = keeper(store, first.job, store.load(first.job))
        again.save([ANSWER])
    with open_store(place) as store:
        assert store.load(first.job) == [OPENED, WORDS, ANSWER]
