"""Very many jobs in a store, quickly: a few hundred whole ones, entered again under other names.

Every row is as the store itself would have written it, its checksum included; only the work of
folding each job's events is done once for each of the few hundred.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence

from diagnose.job.events import Event
from diagnose.records.rows import checksum, row_of
from diagnose.records.store import JobStore
from diagnose.records.summary import summarise

__all__ = ["TAG", "day_of", "fill"]

#: word in the events of a whole job in whose place each of its copies has a word of its own
TAG = "tagnumber"

_KINDS = 400
_AT_ONCE = 5000


def day_of(number: int) -> str:
    """Time of a job: five thousand a year."""
    return f"{2010 + number // 5000}-{1 + number % 12:02d}-{1 + number % 28:02d}T09:00:00"


def fill(store: JobStore, count: int, make: Callable[[int], Sequence[Event]]) -> None:
    """Enter so many jobs.

    Parameters
    ----------
    make : number -> events of a whole job.
    """
    kinds = []
    for number in range(min(count, _KINDS)):
        events = make(number)
        rows = [row_of("", at, event) for at, event in enumerate(events)]
        kinds.append((rows, summarise("", events)))
    for start in range(0, count, _AT_ONCE):
        with store.writing() as session:
            jobs, events_of_jobs, seq = [], [], start * 100
            for number in range(start, min(count, start + _AT_ONCE)):
                rows, columns = kinds[number % len(kinds)]
                day = day_of(number)
                name, uid = f"{day[5:7]}{day[8:10]}-{number:06d}", uuid.uuid4().hex
                for _, at, kind, body, _ in rows:
                    text = body.replace(TAG, f"tag{number}")
                    seq += 1
                    events_of_jobs.append((seq, name, at, kind, text, checksum(name, at, text)))
                said = {**columns, "words": columns["words"].replace(TAG, f"{name} tag{number}")}
                head = (name, uid, checksum(name, -1, uid), len(rows), seq)
                jobs.append((*head, *said.values()))
            names = ("job", "uid", "digest", "count", "latest", *kinds[0][1])
            places = ", ".join("?" * len(names))
            session.run_many(f"INSERT INTO jobs ({', '.join(names)}) VALUES ({places})", jobs)
            session.run_many(
                "INSERT INTO events (seq, job, number, kind, body, digest)"
                " VALUES (?, ?, ?, ?, ?, ?)",
                events_of_jobs,
            )
    with store.writing() as session:
        if session.server:  # its own numbers go on after ours
            numbers = "pg_get_serial_sequence('events', 'seq')"
            session.run(f"SELECT setval({numbers}, max(seq)) FROM events")
