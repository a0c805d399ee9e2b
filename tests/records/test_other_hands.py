"""The tag of a job beside others in one store: who touched what since is told from the events."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.errors import StoreError
from diagnose.job.events import Noted, Opened
from diagnose.records.keeper import Keeper
from diagnose.records.other_hands import KeptTag, latest_touch
from diagnose.records.places import open_store
from diagnose.records.store import JobStore

TIME = "2026-03-02T09:00:00+00:00"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[JobStore]:
    with open_store(tmp_path / "jobs.sqlite") as opened:
        yield opened


def begin(store: JobStore, name: str, person: str) -> Keeper:
    first = [Opened(pack="p", knowledge="", time=TIME, person=person)]
    store.create(TIME, job=name, first=first)
    return Keeper(lambda: store, lambda: TIME, first, name)


def test_another_job_of_the_same_hand_makes_the_tag_doubtful_until_it_is_read(
    store: JobStore,
) -> None:
    keeper = begin(store, "A-01", "AB")
    tag = KeptTag(keeper, "AB", latest_touch(store, "A-01"))
    assert not tag.doubtful()
    begin(store, "B-02", "AB")
    assert tag.doubtful()
    tag.read()
    assert not tag.doubtful()
    keeper.save([Noted(text="its own", time=TIME, person="AB")])
    assert not tag.doubtful()


def test_other_peoples_jobs_do_not_matter(store: JobStore) -> None:
    tag = KeptTag(begin(store, "A-01", "AB"), "AB", latest_touch(store, "A-01"))
    begin(store, "B-02", "CD")
    assert not tag.doubtful()


def test_a_job_that_begins_here_needs_no_tag_at_first(store: JobStore) -> None:
    begin(store, "B-02", "AB")
    tag = KeptTag(begin(store, "A-01", "AB"), "AB", None)
    assert not tag.doubtful()
    begin(store, "C-03", "AB")
    assert tag.doubtful()


def test_where_the_store_cannot_tell_the_tag_is_asked_for(store: JobStore) -> None:
    class Gone:
        job = "A-01"

        @property
        def store(self) -> JobStore:
            raise StoreError("the server does not answer.")

    tag = KeptTag(Gone(), "AB", 0)  # type: ignore[arg-type]
    assert tag.doubtful()
    tag.read()
    assert tag.doubtful()
