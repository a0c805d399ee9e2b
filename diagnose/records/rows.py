"""Events as rows: their text, and a checksum over all that a row says.

The checksum covers job and number too, so that a row that slipped to another place is found out.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from hashlib import blake2b
from typing import Any

from pydantic import ValidationError
from sqlalchemy import Connection, Select, select

from diagnose.records.faults import Damaged, NewerFile
from diagnose.records.layout import events
from diagnose.session.events import EVENT, Event

__all__ = ["body_of", "checksum", "event_of", "read_kinds", "read_whole", "row_of"]


def body_of(event: Event) -> str:
    """The event as stored: JSON with every field, defaults too, so that no default may change."""
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
    if checksum(job, number, body) != check:
        raise Damaged(f"Event {number} of job {job} is damaged.", where=where)
    try:
        return EVENT.validate_json(body)
    except ValidationError as fault:
        raise NewerFile(
            f"Event {number} of job {job} is of a kind that this version does not know.",
            where=where,
            next_step="Open it with the version that wrote it, or update this one.",
        ) from fault


def row_of(job: str, number: int, event: Event) -> dict[str, Any]:
    """The event as columns of the table."""
    body = body_of(event)
    digest = checksum(job, number, body)
    return {"job": job, "number": number, "kind": event.kind, "body": body, "digest": digest}


def read_whole(
    connection: Connection, counts: Mapping[str, int], *, where: str
) -> dict[str, list[Event]]:
    """All events of these jobs; each job must have as many as ``counts`` says, and no gap.

    Raises
    ------
    Damaged, NewerFile
    """
    read: dict[str, list[Event]] = {job: [] for job in counts}
    for job, number, body, digest in connection.execute(_chosen(counts)):
        # A server may show events that were added after the count was read.
        if number == len(read[job]) and number < counts[job]:
            read[job].append(event_of(job, number, body, digest, where=where))
    for job, count in counts.items():
        if len(read[job]) != count:
            raise Damaged(f"Event {len(read[job])} of job {job} is missing.", where=where)
    return read


def read_kinds(
    connection: Connection, jobs: Collection[str], kinds: Collection[str], *, where: str
) -> dict[str, list[Event]]:
    """The events of these kinds only; that others may be missing is not noticed."""
    read: dict[str, list[Event]] = {job: [] for job in jobs}
    chosen = _chosen(jobs).where(events.c.kind.in_(list(kinds)))
    for job, number, body, digest in connection.execute(chosen):
        read[job].append(event_of(job, number, body, digest, where=where))
    return read


def _chosen(jobs: Collection[str]) -> Select[str, int, str, str]:
    return (
        select(events.c.job, events.c.number, events.c.body, events.c.digest)
        .where(events.c.job.in_(list(jobs)))
        .order_by(events.c.job, events.c.number)
    )
