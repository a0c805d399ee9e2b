"""The job store: events are added, numbered and read back; lists come from summaries.

One code path for a file, a server and memory. Two people on one job: whoever adds to a count of
events that is no longer true gets a `Conflict` and nothing is stored or lost.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.errors import InputError, StoreError
from diagnose.records.database import Session, open_database
from diagnose.records.faults import Conflict, Damaged, NewerFile, Taken, UnknownJob
from diagnose.records.layout import VERSION, layout_version, mend_layout
from diagnose.records.rows import checksum, read_whole, row_of
from diagnose.records.summary import Summary, searchable, summarise

if TYPE_CHECKING:
    from diagnose.job.events import Event
    from diagnose.learning.outcome import Outcome

__all__ = ["JobStore", "StoredJob"]

#: jobs read at once where all are read
BATCH = 500

_NAME = re.compile(r"\w[\w.-]{0,39}")

_SUMMARY = ", ".join(Summary.__dataclass_fields__)


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
        self._database = open_database(place, patience)
        self.place = self._database.place
        with self._database.reading() as session:
            found = layout_version(session)
        if found is not None and found > VERSION:
            raise NewerFile(
                f"The store has layout {found}; this version knows layouts up to {VERSION}.",
                where=self.place,
                next_step="Open it with the version that wrote it, or update this one.",
            )
        with self.writing() as session:
            # Also a trial of the lock and of the right to write, before the first answer needs it.
            if found != VERSION and mend_layout(session):
                self._summarise_all(session)
        if found is None:
            self._database.settle_folder()

    def __enter__(self) -> JobStore:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file or the server."""
        self._database.close()

    def create(
        self,
        time: str,
        *,
        job: str | None = None,
        first: Sequence[Event] = (),
        uid: str = "",
    ) -> str:
        """Begin a job and return its name, short enough to say and to write on a tag.

        Parameters
        ----------
        time : now (ISO 8601); the name is its month and day and a running number: ``0412-03``.
        job : a name of one's own instead.
        first : events that are stored together with the job, or not at all.
        uid : 32 hexadecimal digits of one's own, so that a job whose entry was never confirmed can
        be entered once more without becoming two.
        """
        if job is not None and not _NAME.fullmatch(job):
            raise InputError(
                f"{job!r} cannot name a job.",
                next_step="Use up to 40 letters, digits, dots and hyphens.",
            )
        from uuid import uuid4

        while True:
            try:
                with self.writing() as session:
                    if uid and (there := self.job_of_uid(session, uid)) is not None:
                        return there.name
                    name = job or self.free_name(session, _day(time))
                    self.add_job(session, name, uid or uuid4().hex, first)
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
        with self.writing() as session:
            self._lock(session, job)
            known = self._events(session, job)
            meanwhile = known[expected_count:]
            if new and meanwhile[: len(new)] == list(new):
                return expected_count + len(new)
            if len(known) != expected_count:
                raise Conflict(job, expected_count, meanwhile)
            self.extend_job(session, job, known, new)
        return expected_count + len(new)

    def day_name(self, time: str) -> str:
        """The name that a job begun now would get, if nobody is faster."""
        with self._database.reading() as session:
            return self.free_name(session, _day(time))

    def uid_of(self, job: str) -> str:
        """What the job is known by in every store.

        Raises
        ------
        UnknownJob
        """
        with self._database.reading() as session:
            uid = session.value("SELECT uid FROM jobs WHERE job = ?", (job,))
        if uid is None:
            raise UnknownJob(job, where=self.place)
        return str(uid)

    def load(self, job: str) -> list[Event]:
        """All events of a job, in order.

        Raises
        ------
        UnknownJob, Damaged, NewerFile
        """
        with self._database.reading() as session:
            return self._events(session, job)

    def find(
        self,
        *,
        search: str = "",
        state: str = "",
        unfinished: bool = False,
        person: str = "",
        after: Summary | None = None,
        limit: int = 50,
    ) -> list[Summary]:
        """Jobs for a list, the one written to last first.

        Parameters
        ----------
        search : words that must all occur in name, complaint, notes, people, stage or findings.
        state, person : only these. unfinished : only jobs that are not closed.
        after : the last job of the page before this one.
        limit : at most so many.
        """
        where, values = ["1 = 1"], list[Any]()
        for word in searchable(search).split():
            where.append("words LIKE ? ESCAPE '/'")
            values.append(f"%{_literally(word)}%")
        for column, wanted in (("state", state), ("person", person)):
            if wanted:
                where.append(f"{column} = ?")
                values.append(wanted)
        if unfinished:
            where.append("state <> 'closed'")
        if after is not None:
            where.append("(latest, job) < (?, ?)")
            values += [after.latest, after.job]
        order = "ORDER BY latest DESC, job DESC"
        # Which jobs it is, an index of a file says; the rest is read for these alone.
        chosen = f"SELECT job FROM jobs WHERE {' AND '.join(where)} {order} LIMIT ?"
        found = f"SELECT {_SUMMARY} FROM jobs WHERE job IN ({chosen}) {order}"
        with self._database.reading() as session:
            return [_summary(row) for row in session.rows(found, [*values, limit])]

    def outcomes(self) -> Iterator[tuple[str, Outcome]]:
        """What came of every closed job, by name of the job, the one written to last first.

        Reads as it goes and holds no lock. No event is read: the store keeps the outcome with the
        job.

        Raises
        ------
        Damaged
        """
        from diagnose.learning.outcome import Outcome

        chosen = (
            "SELECT job, latest, outcome FROM jobs"
            " WHERE state = 'closed' AND (latest, job) < (?, ?)"
            " ORDER BY latest DESC, job DESC LIMIT ?"
        )
        place: tuple[int, str] = (2**62, "")
        while True:
            with self._database.reading() as session:
                page = list(session.rows(chosen, (*place, BATCH)))
            for job, _, text in page:
                try:
                    yield job, Outcome.from_text(text)
                except (ValueError, TypeError) as fault:
                    raise Damaged(f"The outcome of job {job} is damaged.", where=self.place) from (
                        fault
                    )
            if len(page) < BATCH:
                return
            place = page[-1][1], page[-1][0]

    def erase_customer(self, job: str, *, person: str, time: str) -> None:
        """Blank the customer's words and names in a job for good, and note that it was done.

        Where another program is just reading the file, its journal keeps the old words until that
        program closes; a server keeps them until it next tidies its tables.
        """
        from diagnose.job.events import Noted
        from diagnose.records.erasing import ERASED_NOTE

        with self.writing() as session:
            self._lock(session, job)
            stored = StoredJob(job, "", False, self._events(session, job))
            kept = self.blank_job(session, stored).events
            note = Noted(text=ERASED_NOTE, person=person, time=time)
            self.extend_job(session, job, kept, [note])
        # The old words also stand in the journal until it is emptied.
        self._database.forget()

    def verify(self) -> list[str]:
        """Every fault in what is stored, in words; empty if all is whole."""
        faults = []
        with self._database.reading() as session:
            names = list(session.rows("SELECT job, uid, digest FROM jobs"))
            lost = "SELECT DISTINCT job FROM events WHERE job NOT IN (SELECT job FROM jobs)"
            faults += [f"Job {name} has lost its entry." for (name,) in session.rows(lost)]
            if not session.server:
                said = [str(line) for (line,) in session.rows("PRAGMA integrity_check(20)")]
                faults += [line for line in said if line != "ok"]
        for job, uid, digest in names:
            if checksum(job, -1, uid) != digest:
                faults.append(f"The entry of job {job} is damaged.")
            try:
                made = summarise(job, self.load(job))
            except StoreError as fault:
                faults.append(fault.what)
                continue
            if self._columns(job, made) != tuple(made.values()):
                faults.append(f"What the list says of job {job} does not follow from its events.")
        return faults

    # For `exchange` and `rescue`: whole jobs that come from another store or go to one.

    def all_jobs(self) -> Iterator[StoredJob]:
        """Every job, by name, with its events."""
        chosen = "SELECT job, uid, erased, count FROM jobs WHERE job > ? ORDER BY job LIMIT ?"
        last = ""
        while True:
            with self._database.reading() as session:
                heads = list(session.rows(chosen, (last, BATCH)))
                if not heads:
                    return
                counts = {job: count for job, _, _, count in heads}
                read = read_whole(session, counts, where=self.place)
            for job, uid, erased, _ in heads:
                yield StoredJob(job, uid, bool(erased), read[job])
            last = heads[-1][0]

    def writing(self) -> AbstractContextManager[Session]:
        """One transaction for one job or several."""
        return self._database.writing()

    def job_of_uid(self, session: Session, uid: str) -> StoredJob | None:
        """The job with this uid, kept from others until the transaction ends."""
        row = session.row("SELECT job, erased FROM jobs WHERE uid = ?" + session.locking, (uid,))
        if row is None:
            return None
        name, erased = row
        return StoredJob(name, uid, bool(erased), self._events(session, name))

    def name_is_taken(self, session: Session, job: str) -> bool:
        """Whether a job has this name."""
        return session.row("SELECT 1 FROM jobs WHERE job = ?", (job,)) is not None

    def add_job(
        self,
        session: Session,
        job: str,
        uid: str,
        first: Sequence[Event],
        *,
        erased: bool = False,
    ) -> None:
        """Enter a new job with its events."""
        session.run(
            "INSERT INTO jobs (job, uid, digest, erased) VALUES (?, ?, ?, ?)",
            (job, uid, checksum(job, -1, uid), int(erased)),
        )
        self.extend_job(session, job, [], first)

    def extend_job(
        self, session: Session, job: str, known: Sequence[Event], new: Sequence[Event]
    ) -> None:
        """Add events after the known ones, and renew the summary."""
        rows = [row_of(job, number, event) for number, event in enumerate(new, len(known))]
        values: dict[str, Any] = summarise(job, [*known, *new])
        values["count"] = len(known) + len(new)
        if rows:
            session.run_many(
                "INSERT INTO events (job, number, kind, body, digest) VALUES (?, ?, ?, ?, ?)", rows
            )
            values["latest"] = session.value(
                "SELECT seq FROM events WHERE job = ? AND number = ?", (job, rows[-1][1])
            )
        self._change(session, job, values)

    def blank_job(self, session: Session, job: StoredJob) -> StoredJob:
        """Write the job's events anew without the customer's words and names."""
        from diagnose.records.erasing import without_customer

        kept = [without_customer(event) for event in job.events]
        for number, event in enumerate(kept):
            name, _, kind, body, digest = row_of(job.name, number, event)
            session.run(
                "UPDATE events SET kind = ?, body = ?, digest = ? WHERE job = ? AND number = ?",
                (kind, body, digest, name, number),
            )
        self._change(session, job.name, {**summarise(job.name, kept), "erased": 1})
        return StoredJob(job.name, job.uid, True, kept)

    def free_name(self, session: Session, day: str) -> str:
        """The day's next running number; the highest so far counts, whatever the clock says."""
        chosen = "SELECT job FROM jobs WHERE job LIKE ? ESCAPE '/'"
        names = session.rows(chosen, (f"{_literally(day)}-%",))
        tails = (name.removeprefix(f"{day}-") for (name,) in names)
        taken = [int(tail) for tail in tails if tail.isdecimal() and len(tail) < 9]
        return f"{day}-{max(taken, default=0) + 1:02d}"

    # Inside

    def _lock(self, session: Session, job: str) -> None:
        """Keep others out of the job until the transaction ends (a file is locked as a whole)."""
        if session.row("SELECT 1 FROM jobs WHERE job = ?" + session.locking, (job,)) is None:
            raise UnknownJob(job, where=self.place)

    def _events(self, session: Session, job: str) -> list[Event]:
        count = session.value("SELECT count FROM jobs WHERE job = ?", (job,))
        if count is None:
            raise UnknownJob(job, where=self.place)
        return read_whole(session, {job: count}, where=self.place)[job]

    def _columns(self, job: str, names: Iterable[str]) -> tuple[Any, ...] | None:
        with self._database.reading() as session:
            return session.row(f"SELECT {', '.join(names)} FROM jobs WHERE job = ?", (job,))

    def _change(self, session: Session, job: str, values: dict[str, Any]) -> None:
        columns = ", ".join(f"{name} = ?" for name in values)
        session.run(f"UPDATE jobs SET {columns} WHERE job = ?", [*values.values(), job])

    def _summarise_all(self, session: Session) -> None:
        for (job,) in list(session.rows("SELECT job FROM jobs")):
            self._change(session, job, dict(summarise(job, self._events(session, job))))


def _summary(row: Sequence[Any]) -> Summary:
    fields = dict(zip(Summary.__dataclass_fields__, row, strict=True))
    return Summary(**{**fields, "erased": bool(fields["erased"])})


def _day(time: str) -> str:
    return time[5:7] + time[8:10] or "job"


def _literally(text: str) -> str:
    """Text inside a pattern of LIKE that stands for itself."""
    return text.replace("/", "//").replace("%", "/%").replace("_", "/_")
