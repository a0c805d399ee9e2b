"""Whole jobs from one store to another, or to lines of JSON and back, never twice.

A job is known by its uid, whatever its name. Where both stores have it, the longer list of events
wins if it continues the shorter one; else nothing is changed and the job is named as a conflict.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import IO, Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from diagnose.errors import InputError, StoreError
from diagnose.job.old_events import StoredEvent
from diagnose.records.database import Session
from diagnose.records.erasing import without_customer
from diagnose.records.faults import Taken
from diagnose.records.rows import body_of
from diagnose.records.store import JobStore, StoredJob

__all__ = ["Moved", "export_jsonl", "import_jsonl", "push", "take_in"]

#: jobs written in one transaction
BATCH = 200

#: attempts to write a batch while others take the same names
ATTEMPTS = 5


@dataclass
class Moved:
    """What became of the jobs: names as in the store that took them in.

    ``renamed``: name in the source -> name here, where another job had the name already.
    ``conflicts``: name in the source -> why it was left as it is.
    """

    added: list[str] = field(default_factory=list)
    extended: list[str] = field(default_factory=list)
    unchanged: list[str] = field(default_factory=list)
    renamed: dict[str, str] = field(default_factory=dict)
    conflicts: dict[str, str] = field(default_factory=dict)


class _Line(BaseModel):
    model_config = ConfigDict(extra="forbid")

    job: Annotated[str, Field(pattern=r"^\w[\w.-]{0,39}$")]
    uid: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    erased: bool = False
    events: list[StoredEvent]


def push(source: JobStore, target: JobStore) -> Moved:
    """Bring every job of the source into the target; the source stays as it is."""
    return take_in(target, source.all_jobs())


def export_jsonl(store: JobStore, out: IO[str]) -> int:
    """Write every job as one line of JSON (name, uid, erased, events); returns their number."""
    count = 0
    for job in store.all_jobs():
        head = json.dumps({"job": job.name, "uid": job.uid, "erased": job.erased})
        out.write(f'{head[:-1]}, "events": [{", ".join(map(body_of, job.events))}]}}\n')
        count += 1
    return count


def import_jsonl(store: JobStore, lines: Iterable[str], *, where: str) -> Moved:
    """Take in lines that `export_jsonl` wrote.

    Parameters
    ----------
    lines : the lines.
    where : the file's name, for errors.

    Raises
    ------
    InputError
        A line cannot be read. The lines of earlier batches are in; doing it again is harmless.
    """
    return take_in(store, _read(lines, where))


def _read(lines: Iterable[str], where: str) -> Iterator[StoredJob]:
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            read = _Line.model_validate_json(line)
        except ValidationError as fault:
            first = fault.errors()[0]
            place = ".".join(map(str, first["loc"]))
            raise InputError(
                f"This is no exported job ({place + ': ' if place else ''}{first['msg']}).",
                where=f"{where}:{number}",
                next_step="Export it again, or take the line out.",
            ) from fault
        yield StoredJob(read.job, read.uid, read.erased, read.events)


def take_in(store: JobStore, offered: Iterable[StoredJob]) -> Moved:
    """Enter jobs, or what is new of them, a batch in a transaction."""
    total = Moved()
    source = iter(offered)
    while batch := list(islice(source, BATCH)):
        moved = _take_batch(store, batch)
        total.added += moved.added
        total.extended += moved.extended
        total.unchanged += moved.unchanged
        total.renamed |= moved.renamed
        total.conflicts |= moved.conflicts
    return total


def _take_batch(store: JobStore, batch: Sequence[StoredJob]) -> Moved:
    for _ in range(ATTEMPTS):
        moved = Moved()
        try:
            with store.writing() as session:
                for job in batch:
                    _take(store, session, job, moved)
        except Taken:
            continue  # another counter took a name between our look and our writing
        return moved
    raise StoreError(
        "Others keep taking the names of these jobs.",
        where=store.place,
        next_step="Do it again in a quiet moment; nothing is entered twice.",
    )


def _take(store: JobStore, session: Session, offered: StoredJob, moved: Moved) -> None:
    here = store.job_of_uid(session, offered.uid)
    if here is None:
        name = offered.name
        if store.name_is_taken(session, name):
            name = store.free_name(session, name.rpartition("-")[0] or name)
            moved.renamed[offered.name] = name
        store.add_job(session, name, offered.uid, offered.events, erased=offered.erased)
        moved.added.append(name)
        return
    if here.name != offered.name:
        moved.renamed[offered.name] = here.name
    events = offered.events
    if here.erased and not offered.erased:
        # What was forgotten here must not come back from a copy.
        events = [without_customer(event) for event in events]
    elif offered.erased and not here.erased:
        here = store.blank_job(session, here)
    common = min(len(here.events), len(events))
    if here.events[:common] != events[:common]:
        at = next(n for n in range(common) if here.events[n] != events[n])
        moved.conflicts[offered.name] = (
            f"Both copies went on after event {at}; here it is job {here.name}."
        )
    elif len(events) > common:
        store.extend_job(session, here.name, here.events, events[common:])
        moved.extended.append(here.name)
    else:
        moved.unchanged.append(here.name)
