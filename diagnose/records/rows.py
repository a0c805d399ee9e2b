"""Events as rows: their text, and a checksum over all that a row says.

The checksum covers job and number too, so that a row that slipped to another place is found out.
"""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import blake2b
from typing import TYPE_CHECKING

from diagnose.records.database import Session, marks
from diagnose.records.faults import Damaged, NewerFile

if TYPE_CHECKING:
    from diagnose.job.events import Event

__all__ = ["body_of", "checksum", "event_of", "read_whole", "row_of"]


def body_of(event: Event) -> str:
    """The event as stored: JSON with every field, defaults too, so that no default may change."""
    from diagnose.job.events import EVENT

    return EVENT.dump_json(event).decode()


def checksum(job: str, number: int, body: str) -> str:
    """16 hexadecimal digits (BLAKE2b) over job, number and body.

    >>> checksum("0412-01", 0, "{}") == checksum("0412-01", 1, "{}")
    False
    """
    text = f"{job}\n{number}\n{body}"
    return blake2b(text.encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()


def event_of(job: str, number: int, body: str, check: str, *, where: str) -> Event:
    """Read an event back.

    Raises
    ------
    Damaged
        The row is not what was written.
    NewerFile
        The row is whole but of a kind that this version does not know.
    """
    from pydantic import ValidationError

    from diagnose.job.old_events import read_event

    if checksum(job, number, body) != check:
        raise Damaged(f"Event {number} of job {job} is damaged.", where=where)
    try:
        return read_event(body)
    except ValidationError as fault:
        raise NewerFile(
            f"Event {number} of job {job} is of a kind that this version does not know.",
            where=where,
            next_step="Open it with the version that wrote it, or update this one.",
        ) from fault


def row_of(job: str, number: int, event: Event) -> tuple[str, int, str, str, str]:
    """The event as columns of the table: job, number, kind, body, digest."""
    body = body_of(event)
    return job, number, event.kind, body, checksum(job, number, body)


def read_whole(
    session: Session, counts: Mapping[str, int], *, where: str
) -> dict[str, list[Event]]:
    """All events of these jobs; each job must have as many as ``counts`` says, and no gap.

    Raises
    ------
    Damaged, NewerFile
    """
    read: dict[str, list[Event]] = {job: [] for job in counts}
    chosen = "SELECT job, number, body, digest FROM events WHERE job IN " + marks(len(counts))
    for job, number, body, digest in session.rows(chosen + " ORDER BY job, number", list(counts)):
        # A server may show events that were added after the count was read.
        if number == len(read[job]) and number < counts[job]:
            read[job].append(event_of(job, number, body, digest, where=where))
    for job, count in counts.items():
        if len(read[job]) != count:
            raise Damaged(f"Event {len(read[job])} of job {job} is missing.", where=where)
    return read
