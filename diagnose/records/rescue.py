"""What can be read of a damaged file, in a new file, and in words what could not.

Every row carries its checksum, so a row is either whole or left out. An event that is missing
between others is stood in for by a note, because later events speak of earlier ones by number.
"""

from __future__ import annotations

import sqlite3
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.errors import StoreError
from diagnose.job.events import Event, Happened, Noted
from diagnose.knowledge.device import ANYTHING
from diagnose.records.database import PAGE
from diagnose.records.erasing import without_customer
from diagnose.records.pages import Value, rows_of
from diagnose.records.rows import checksum, event_of
from diagnose.records.store import JobStore

__all__ = ["Rescued", "rescue"]

LOST_NOTE = "This event was lost when the file was damaged."

#: an open job whose events are incomplete may have been filled since the last one that is left
_MAY_HOLD_PRESSURE: tuple[Event, ...] = (
    Noted(text="Events were lost: every chamber counts as pressurised again."),
    Happened(what=ANYTHING),
)


@dataclass
class Rescued:
    """What came over, and a sentence for each job that lost something."""

    jobs: int = 0
    events: int = 0
    lost: list[str] = field(default_factory=list)


def rescue(path: Path, into: Path) -> Rescued:
    """Read what is whole in a file into a new one; the old file is not touched.

    Parameters
    ----------
    path : the damaged file (with its ``-wal`` beside it, if there is one).
    into : the new file; it must not exist.

    Raises
    ------
    StoreError
        ``path`` cannot be read, or ``into`` exists.
    """
    if not path.is_file():
        raise StoreError(
            "There is no such file.", where=str(path), next_step="Name the damaged job file."
        )
    if into.exists():
        raise StoreError(
            "The new file exists already.", where=str(into), next_step="Choose another name."
        )
    done = Rescued()
    missing = _missing_bytes(path)
    if missing > 0:
        done.lost.append(f"The file ends {missing} bytes early; whole jobs may be missing.")
    # A nameless database lies in a temporary file: the damaged one may be larger than the memory.
    scratch = sqlite3.connect("")
    try:
        _collect(path, scratch)
        with JobStore(into) as store, store.writing() as session:
            for name, uid, erased, count in _heads(scratch):
                found = _events(scratch, name)
                done.events += len(found)
                if erased:
                    # An older row may have been read where the newer one is broken.
                    found = {n: without_customer(event) for n, event in found.items()}
                events = _completed(name, found, count, uid == "", done)
                store.add_job(session, name, uid or uuid.uuid4().hex, events, erased=erased)
                done.jobs += 1
    except OSError as fault:
        raise StoreError(
            f"The file cannot be read: {fault.strerror}.",
            where=str(path),
            next_step="Copy it to a sound disk first, as far as it can be copied.",
        ) from fault
    finally:
        scratch.close()
    return done


def _missing_bytes(path: Path) -> int:
    """How much shorter the file is than its head says, as far as that can be read."""
    with path.open("rb") as file:
        head = file.read(32)
    pages = int.from_bytes(head[28:32], "big") if head.startswith(b"SQLite format 3\0") else 0
    return pages * PAGE - path.stat().st_size


def _collect(path: Path, scratch: sqlite3.Connection) -> None:
    scratch.execute("PRAGMA journal_mode=OFF")
    scratch.execute("CREATE TABLE heads (job PRIMARY KEY, uid, erased, count)")
    scratch.execute(
        "CREATE TABLE events (job, number, body, digest, seq, PRIMARY KEY (job, number))"
    )
    for seq, row in rows_of(path, PAGE):
        match row:
            case [None, bytes(job), int(number), bytes(), bytes(body), bytes(digest)]:
                event = (_text(job), number, _text(body), _text(digest), seq)
                if checksum(*event[:3]) == event[3]:
                    scratch.execute("INSERT OR REPLACE INTO events VALUES (?, ?, ?, ?, ?)", event)
            case [bytes(job), bytes(uid), bytes(digest), int(count), int(), int(erased), *_]:
                name = _text(job)
                if checksum(name, -1, _text(uid)) == _text(digest):
                    head = (name, _text(uid), erased, count)
                    scratch.execute("INSERT OR REPLACE INTO heads VALUES (?, ?, ?, ?)", head)


def _text(value: Value) -> str:
    return value.decode("utf-8", "replace") if isinstance(value, bytes) else ""


def _heads(scratch: sqlite3.Connection) -> Iterator[tuple[str, str, bool, int]]:
    """(name, uid, erased, number of events) of each job; uid empty where its entry was lost."""
    # In the order in which they were last written to: the list of the new file keeps it.
    found = scratch.execute(
        "SELECT j.job, coalesce(h.uid, ''), coalesce(h.erased, 0), coalesce(h.count, 0)"
        " FROM (SELECT job, max(seq) AS latest FROM"
        " (SELECT job, seq FROM events UNION ALL SELECT job, 0 FROM heads) GROUP BY job) AS j"
        " LEFT JOIN heads AS h ON h.job = j.job ORDER BY j.latest"
    )
    for job, uid, erased, count in found:
        yield job, uid, bool(erased), count


def _events(scratch: sqlite3.Connection, job: str) -> dict[int, Event]:
    """The events that are left, by number."""
    rows = scratch.execute(
        "SELECT number, body, digest FROM events WHERE job = ? ORDER BY number", (job,)
    )
    return {n: event_of(job, n, body, digest, where="rescue") for n, body, digest in rows}


def _completed(
    job: str, found: dict[int, Event], count: int, headless: bool, done: Rescued
) -> list[Event]:
    """The job's events with stand-ins for the lost ones; what was lost is told in ``done``."""
    count = max([count, *(number + 1 for number in found)])
    lost = [number for number in range(count) if number not in found]
    events = [found.get(number, Noted(text=LOST_NOTE)) for number in range(count)]
    if headless:
        done.lost.append(f"Job {job}: its entry is lost; later events may be missing too.")
    if lost:
        numbers = ", ".join(map(str, lost))
        done.lost.append(f"Job {job}: lost event{'s' if len(lost) > 1 else ''} {numbers}.")
    if (lost or headless) and not any(event.kind == "closed" for event in events):
        events += _MAY_HOLD_PRESSURE
    return events
