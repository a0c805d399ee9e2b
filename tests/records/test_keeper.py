"""One job and its store: begun with the first words, nothing lost while the store refuses."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from diagnose.errors import StoreError
from diagnose.job.events import Answered, Approved, Complained, Event, Opened
from diagnose.records.exchange import push
from diagnose.records.faults import ServerAway
from diagnose.records.keeper import Keeper
from diagnose.records.places import open_store
from diagnose.records.store import JobStore
from tests.records.memory import MemoryStore

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


class Distant(MemoryStore):
    """A server's store: it can be away."""

    away = False

    def create(
        self, time: str, *, job: str | None = None, first: Sequence[Event] = (), uid: str = ""
    ) -> str:
        self.call()
        return super().create(time, job=job, first=first, uid=uid)

    def append(self, job: str, expected_count: int, new: Sequence[Event]) -> int:
        self.call()
        return super().append(job, expected_count, new)

    def call(self) -> None:
        if self.away:
            raise ServerAway("it does not answer.", where="far away")

    def close(self) -> None:
        """It is looked into afterwards."""


@pytest.mark.parametrize("before", [0, 1, 2])
def test_while_the_server_is_away_the_job_goes_on_here_and_comes_back_as_one(before: int) -> None:
    server, here = Distant(), MemoryStore()
    other = server.create("2026-03-02T08:00:00", first=[OPENED])
    keeps = Keeper(
        lambda: server, lambda: "2026-03-02T09:00:00+00:00", [OPENED], local=lambda: here
    )
    said: list[Event] = [WORDS, ANSWER, ANSWER.model_copy(update={"state": "dry"})]
    for number, event in enumerate(said):
        server.away = number >= before
        keeps.save([event])
    assert keeps.fault is None
    assert keeps.away is not None
    assert keeps.store is here
    assert here.load(keeps.job) == [OPENED, *said]

    server.away = False
    first, again = push(here, server), push(here, server)
    assert (len(first.added), len(first.extended)) == ((0, 1) if before else (1, 0))
    assert again.unchanged == first.added + first.extended
    (name,) = again.unchanged
    assert server.load(name) == [OPENED, *said]
    assert {row.job for row in server.find()} == {name, other}


def test_a_job_of_the_server_that_is_gone_on_with_stays_the_same_job() -> None:
    server, here = Distant(), MemoryStore()
    job = server.create("2026-03-02T08:00:00", first=[OPENED, WORDS])
    keeps = Keeper(lambda: server, lambda: "", server.load(job), job, lambda: here)
    keeps.save([ANSWER])
    server.away = True
    keeps.save([ANSWER])
    server.away = False
    assert push(here, server).extended == [job]
    assert server.load(job) == [OPENED, WORDS, ANSWER, ANSWER]


def test_an_entry_that_was_made_and_never_confirmed_is_not_made_twice() -> None:
    class Cut(Distant):
        def create(
            self, time: str, *, job: str | None = None, first: Sequence[Event] = (), uid: str = ""
        ) -> str:
            super().create(time, job=job, first=first, uid=uid)
            raise ServerAway("the connection broke.", where="far away")

    server, here = Cut(), MemoryStore()
    keeps = Keeper(lambda: server, lambda: "2026-03-02T09:00:00", [OPENED], local=lambda: here)
    keeps.save([WORDS])
    keeps.save([ANSWER])
    assert len(push(here, server).extended) == 1
    (row,) = server.find()
    assert server.load(row.job) == [OPENED, WORDS, ANSWER]


def test_where_there_is_no_other_place_it_says_so() -> None:
    server = Distant()
    server.away = True
    keeps = keeper(server)
    with pytest.raises(ServerAway):
        keeps.save([WORDS])
    assert keeps.fault is not None
    server.away = False
    keeps.save([])
    assert server.load(keeps.job) == [OPENED, WORDS]


def test_what_others_wrote_is_known_from_now_on_and_the_answer_is_given_again() -> None:
    store = MemoryStore()
    keeps = keeper(store)
    keeps.save([WORDS])
    theirs = Approved(stages=["small"], person="CD")
    store.append(keeps.job, 2, [theirs])
    with pytest.raises(StoreError, match="CD wrote to this job meanwhile: approved") as refused:
        keeps.save([ANSWER])
    assert list(refused.value.meanwhile) == [theirs]
    assert store.load(keeps.job) == [OPENED, WORDS, theirs]
    keeps.save([ANSWER])
    assert store.load(keeps.job) == [OPENED, WORDS, theirs, ANSWER]
    assert keeps.fault is None


def test_what_was_promised_to_be_kept_is_not_forgotten_for_others() -> None:
    store = Sulking()
    keeps = keeper(store)
    keeps.save([WORDS])
    store.sulks = True
    with pytest.raises(StoreError):
        keeps.save([ANSWER])
    store.sulks = False
    store.append(keeps.job, 2, [Approved(stages=["small"], person="CD")])
    with pytest.raises(StoreError) as refused:
        keeps.save([WORDS])
    assert not refused.value.meanwhile
    assert keeps.fault is not None


def test_what_is_given_once_more_is_stored_once() -> None:
    store = Sulking()
    keeps = keeper(store)
    keeps.save([WORDS])
    store.sulks = True
    with pytest.raises(StoreError):
        keeps.save([ANSWER])
    store.sulks = False
    dry = ANSWER.model_copy(update={"state": "dry"})
    keeps.save([ANSWER, dry])
    assert store.load(keeps.job) == [OPENED, WORDS, ANSWER, dry]
