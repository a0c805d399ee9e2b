"""An event as a row: its text, and a checksum over all that the row says.

The checksum covers job and number too, so that a row that slipped to another place is found out.
"""

from __future__ import annotations

from hashlib import blake2b

from pydantic import ValidationError

from diagnose.records.faults import Damaged, NewerFile
from diagnose.session.events import EVENT, Event

__all__ = ["body_of", "checksum", "event_of"]


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
