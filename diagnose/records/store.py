"""The job store: events are added, numbered and read back; lists come from summaries.

One code path for a file, a server and memory. Two people on one job: whoever adds to a count of
events that is no longer true gets a `Conflict` and nothing is stored or lost.
"""

from __future__ import annotations

import re
import sqlite3
import uuid
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, bindparam, insert, select, tuple_, update
from sqlalchemy.exc import DBAPIError, IntegrityError, SQLAlchemyError

from diagnose.errors import InputError, StoreError
from diagnose.records.erasing import ERASED_NOTE, without_customer
from diagnose.records.faults import Conflict, NewerFile, Taken, UnknownJob, translated
from diagnose.records.layout import (
    VERSION,
    engine_for,
    events,
    jobs,
    layout_version,
    mend_layout,
    settle_folder,
    shown,
)
from diagnose.records.rows import checksum, read_kinds, read_whole, row_of
from diagnose.records.summary import Summary, searchable, summarise
from diagnose.session.events import Event, Noted

__all__ = ["JobStore", "MemoryStore", "StoredJob"]

#: jobs read at once where all are read
BATCH = 500

_NAME = re.compile(r"\w[\w.-]{0,39}")

# Built once: to build a statement costs more than to run it.
_ADD_JOB = insert(jobs)
_ADD_EVENTS = insert(events)
_CHANGE_JOB = update(jobs).where(jobs.c.job == bindparam("this"))
_LATEST = select(events.c.seq).where(
    events.c.job == bindparam("this"), events.c.number == bindparam("at")
)
_JOB_OF_UID = (
    select(jobs.c.job, jobs.c.erased).where(jobs.c.uid == bindparam("uid")).with_for_update()
)
_NAMED = select(jobs.c.job).where(jobs.c.job == bindparam("this"))
_COUNT = select(jobs.c.count).where(jobs.c.job == bindparam("this"))
_SUMMARY = [jobs.c[name] for name in Summary.__dataclass_fields__]


@dataclass(frozen=True)
class StoredJob:
    """A whole job as another store can take it in."""

    name: str
    uid: str
    erased: bool
    events: list[Event]


class JobStore:
    """Jobs in a file or on a server.

    Parameters
    ----------
    place : path of a file, or the URL of a database.
    patience : how long to wait for another program that is writing, and for a server [s].

    Raises
    ------
    StoreError
        From every method, told apart as in `diagnose.records.faults`.
    """

    def __init__(self, place: str | Path, *, patience: float = 5.0) -> None:
        self._engine = engine_for(place, patience)
        self.place = shown(self._engine.url)
        with self._reading() as connection:
            found = layout_version(connection)
        if found is not None and found > VERSION:
            raise NewerFile(
                f"The store has layout {found}; this version knows layouts up to {VERSION}.",
                where=self.place,
                next_step="Open it with the version that wrote it, or update this one.",
            )
        with self.writing() as connection:
            # Also a trial of the lock and of the right to write, before the first answer needs it.
            if found != VERSION and mend_layout(connection):
                self._summarise_all(connection)
        if found is None:
            settle_folder(self._engine.url)

    def __enter__(self) -> JobStore:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file or the server."""
        self._engine.dispose()

    def create(self, time: str, *, job: str | None = None, first: Sequence[Event] = ()) -> str:
        """Begin a job and return its name, short enough to say and to write on a tag.

        Parameters
        ----------
        time : now (ISO 8601); the name is its month and day and a running number: ``0412-03``.
        job : a name of one's own instead.
        first : events that are stored together with the job, or not at all.
        """
        if job is not None and not _NAME.fullmatch(job):
            raise InputError(
                f"{job!r} cannot name a job.",
                next_step="Use up to 40 letters, digits, dots and hyphens.",
            )
        while True:
            try:
                with self.writing() as connection:
                    name = job or self.free_name(connection, time[5:7] + time[8:10] or "job")
                    self.add_job(connection, name, uuid.uuid4().hex, first)
                return name
            except Taken as fault:
                # Without a name of one's own, another counter took the number: take the next.
                if job is not None:
                    raise StoreError(
                        f"There is a job {job} already.",
                        where=self.place,
                        next_step="Go on with it, or choose another name.",
                    ) from fault

    def append(self, job: str, expected_count: int, new: Sequence[Event]) -> int:
        """Add events, all or none; on return they are on the disk.

        Parameters
        ----------
        job : the job.
        expected_count : number of events that the caller has seen.
        new : what to add.

        Returns
        -------
        int
            The number of events that the caller has now seen. Adding once more what is already
            there at this place (after a connection that broke before it answered) is no conflict.

        Raises
        ------
        Conflict
            Others wrote meanwhile.
        UnknownJob
        """
        with self.writing() as connection:
            self._lock(connection, job)
            known = self._events(connection, job)
            meanwhile = known[expected_count:]
            if new and meanwhile[: len(new)] == list(new):
                return expected_count + len(new)
            if len(known) != expected_count:
                raise Conflict(job, expected_count, meanwhile)
            self.extend_job(connection, job, known, new)
        return expected_count + len(new)

    def load(self, job: str) -> list[Event]:
        """All events of a job, in order.

        Raises
        ------
        UnknownJob, Damaged, NewerFile
        """
        with self._reading() as connection:
            return self._events(connection, job)

    def find(
        self,
        *,
        search: str = "",
        state: str = "",
        person: str = "",
        after: Summary | None = None,
        limit: int = 50,
    ) -> list[Summary]:
        """Jobs for a list, the one written to last first.

        Parameters
        ----------
        search : words that must all occur in name, complaint, notes, people, stage or findings.
        state, person : only these.
        after : the last job of the page before this one.
        limit : at most so many.
        """
        order = (jobs.c.latest.desc(), jobs.c.job.desc())
        found = select(jobs.c.job).order_by(*order).limit(limit)
        for word in searchable(search).split():
            found = found.where(jobs.c.words.contains(word, autoescape=True))
        if state:
            found = found.where(jobs.c.state == state)
        if person:
            found = found.where(jobs.c.person == person)
        if after is not None:
            place = tuple_(jobs.c.latest, jobs.c.job)
            found = found.where(place < tuple_(after.latest, after.job))
        chosen = select(*_SUMMARY).where(jobs.c.job.in_(found)).order_by(*order)
        with self._reading() as connection:
            return [_summary(row) for row in connection.execute(chosen).mappings()]

    def closed_jobs(self, kinds: Collection[str] = ()) -> Iterator[tuple[str, list[Event]]]:
        """Every closed job with its events, by name; reads as it goes and holds no lock.

        Parameters
        ----------
        kinds : only events of these kinds, which is faster; a `Withdrawn` then points nowhere.
        """
        yield from ((job.name, job.events) for job in self.all_jobs(state="closed", kinds=kinds))

    def erase_customer(self, job: str, *, person: str, time: str) -> None:
        """Blank the customer's words and names in a job for good, and note that it was done.

        Where another program is just reading the file, its journal keeps the old words until that
        program closes; a server keeps them until it next tidies its tables.
        """
        with self.writing() as connection:
            self._lock(connection, job)
            stored = StoredJob(job, "", False, self._events(connection, job))
            kept = self.blank_job(connection, stored).events
            note = Noted(text=ERASED_NOTE, person=person, time=time)
            self.extend_job(connection, job, kept, [note])
        if self._engine.dialect.name == "sqlite":
            # The old words also stand in the journal until it is emptied.
            with self._guarded(), self._engine.connect() as connection:
                driver = connection.connection.driver_connection
                assert isinstance(driver, sqlite3.Connection)
                driver.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    def verify(self) -> list[str]:
        """Every fault in what is stored, in words; empty if all is whole."""
        faults = []
        with self._reading() as connection:
            names = list(connection.execute(select(jobs.c.job, jobs.c.uid, jobs.c.digest)))
            lost = select(events.c.job).where(events.c.job.not_in(select(jobs.c.job))).distinct()
            faults += [f"Job {name} has lost its entry." for name in connection.scalars(lost)]
            if connection.dialect.name == "sqlite":
                said = connection.exec_driver_sql("PRAGMA integrity_check(20)").scalars().all()
                faults += [str(line) for line in said if line != "ok"]
        for job, uid, digest in names:
            if checksum(job, -1, uid) != digest:
                faults.append(f"The entry of job {job} is damaged.")
            try:
                self.load(job)
            except StoreError as fault:
                faults.append(fault.what)
        return faults

    # For `exchange` and `rescue`: whole jobs that come from another store or go to one.

    def all_jobs(self, *, state: str = "", kinds: Collection[str] = ()) -> Iterator[StoredJob]:
        """Every job (in this state), by name, with its events (of these kinds)."""
        last = ""
        while True:
            chosen = select(jobs.c.job, jobs.c.uid, jobs.c.erased, jobs.c.count)
            chosen = chosen.where(jobs.c.job > last).order_by(jobs.c.job).limit(BATCH)
            if state:
                chosen = chosen.where(jobs.c.state == state)
            with self._reading() as connection:
                heads = connection.execute(chosen).all()
                counts = {job: count for job, _, _, count in heads}
                if kinds:
                    read = read_kinds(connection, counts, kinds, where=self.place)
                else:
                    read = read_whole(connection, counts, where=self.place)
            if not heads:
                return
            for job, uid, erased, _ in heads:
                yield StoredJob(job, uid, bool(erased), read[job])
            last = heads[-1][0]

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction for one job or several."""
        with self._guarded(), self._engine.connect() as connection:
            connection = connection.execution_options(writing=True)
            with connection.begin():
                yield connection

    def job_of_uid(self, connection: Connection, uid: str) -> StoredJob | None:
        """The job with this uid, kept from others until the transaction ends."""
        row = connection.execute(_JOB_OF_UID, {"uid": uid}).one_or_none()
        if row is None:
            return None
        name, erased = row
        return StoredJob(name, uid, bool(erased), self._events(connection, name))

    def name_is_taken(self, connection: Connection, job: str) -> bool:
        """Whether a job has this name."""
        return connection.execute(_NAMED, {"this": job}).first() is not None

    def add_job(
        self,
        connection: Connection,
        job: str,
        uid: str,
        first: Sequence[Event],
        *,
        erased: bool = False,
    ) -> None:
        """Enter a new job with its events."""
        digest = checksum(job, -1, uid)
        row = {"job": job, "uid": uid, "digest": digest, "erased": int(erased)}
        connection.execute(_ADD_JOB, row)
        self.extend_job(connection, job, [], first)

    def extend_job(
        self, connection: Connection, job: str, known: Sequence[Event], new: Sequence[Event]
    ) -> None:
        """Add events after the known ones, and renew the summary."""
        rows = [row_of(job, number, event) for number, event in enumerate(new, len(known))]
        values: dict[str, Any] = summarise(job, [*known, *new])
        values |= {"this": job, "count": len(known) + len(new)}
        if rows:
            connection.execute(_ADD_EVENTS, rows)
            last = {"this": job, "at": rows[-1]["number"]}
            values["latest"] = connection.execute(_LATEST, last).scalar_one()
        connection.execute(_CHANGE_JOB, values)

    def blank_job(self, connection: Connection, job: StoredJob) -> StoredJob:
        """Write the job's events anew without the customer's words and names."""
        kept = [without_customer(event) for event in job.events]
        for number, event in enumerate(kept):
            row = row_of(job.name, number, event)
            place = (events.c.job == job.name, events.c.number == number)
            connection.execute(update(events).where(*place).values(row))
        values = summarise(job.name, kept)
        connection.execute(_CHANGE_JOB, {"this": job.name, "erased": 1, **values})
        return StoredJob(job.name, job.uid, True, kept)

    def free_name(self, connection: Connection, day: str) -> str:
        """The day's next running number; the highest so far counts, whatever the clock says."""
        names = connection.scalars(
            select(jobs.c.job).where(jobs.c.job.startswith(f"{day}-", autoescape=True))
        )
        tails = (name.removeprefix(f"{day}-") for name in names)
        taken = [int(tail) for tail in tails if tail.isdecimal() and len(tail) < 9]
        return f"{day}-{max(taken, default=0) + 1:02d}"

    # Inside

    @contextmanager
    def _guarded(self) -> Iterator[None]:
        try:
            yield
        except IntegrityError as fault:
            raise Taken(where=self.place) from fault
        except DBAPIError as fault:
            raise translated(fault.orig, self.place) from fault
        except (SQLAlchemyError, sqlite3.Error) as fault:
            raise translated(fault, self.place) from fault

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with self._guarded(), self._engine.connect() as connection:
            yield connection

    def _lock(self, connection: Connection, job: str) -> None:
        """Keep others out of the job until the transaction ends (a file is locked as a whole)."""
        locked = select(jobs.c.job).where(jobs.c.job == job).with_for_update()
        if connection.execute(locked).first() is None:
            raise UnknownJob(job, where=self.place)

    def _events(self, connection: Connection, job: str) -> list[Event]:
        count = connection.scalar(_COUNT, {"this": job})
        if count is None:
            raise UnknownJob(job, where=self.place)
        return read_whole(connection, {job: count}, where=self.place)[job]

    def _summarise_all(self, connection: Connection) -> None:
        for job in list(connection.scalars(select(jobs.c.job))):
            values = summarise(job, self._events(connection, job))
            connection.execute(_CHANGE_JOB, {"this": job, **values})


class MemoryStore(JobStore):
    """The same store for a place that cannot be written; it is gone when the program ends."""

    def __init__(self) -> None:
        super().__init__(":memory:")


def _summary(row: Any) -> Summary:
    return Summary(**{**row, "erased": bool(row["erased"])})
