"""What can go wrong with a store, told apart, each with what to do next.

A database driver reports dozens of codes; a person can act on seven. `translated` maps the first
to the second and is the only place that knows the codes.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnose.errors import StoreError

if TYPE_CHECKING:
    from diagnose.job.events import Event

__all__ = [
    "Conflict",
    "Damaged",
    "DiskFull",
    "Locked",
    "NewerFile",
    "ReadOnly",
    "ServerAway",
    "Taken",
    "UnknownJob",
    "translated",
]


class Conflict(StoreError):
    """Somebody else wrote to the job meanwhile; nothing of the refused events was stored.

    Parameters
    ----------
    job : the job.
    expected : the number of events that the caller knew.
    meanwhile : the events that it did not know, in order.
    """

    def __init__(self, job: str, expected: int, meanwhile: Sequence[Event]) -> None:
        self.expected = expected
        self.meanwhile = tuple(meanwhile)
        if meanwhile:
            people = sorted({event.person or "somebody unnamed" for event in meanwhile})
            kinds = ", ".join(dict.fromkeys(event.kind for event in meanwhile))
            what = f"{' and '.join(people)} wrote to this job meanwhile: {kinds}."
        else:
            what = f"The job has fewer than the {expected} events that were expected."
        super().__init__(
            what,
            where=f"job {job}",
            next_step="Nothing was overwritten. Look at what is new, then answer again.",
        )


class Damaged(StoreError):
    """What is stored is not what was written."""

    def __init__(self, what: str, *, where: str) -> None:
        super().__init__(
            what,
            where=where,
            next_step="Keep it as it is and read what can be read: diagnose jobs rescue FILE NEW",
        )


class DiskFull(StoreError):
    """No room left where the store lies."""


class Locked(StoreError):
    """Another program holds the store."""


class NewerFile(StoreError):
    """The store was written by a newer version of this program."""


class ReadOnly(StoreError):
    """The store cannot be written here."""


class ServerAway(StoreError):
    """The database server cannot be reached."""


class Taken(StoreError):
    """Another program entered the same name at the same moment."""

    def __init__(self, *, where: str) -> None:
        super().__init__("This is in the store already.", where=where, next_step="Do it again.")


class UnknownJob(StoreError):
    """There is no job of this name."""

    def __init__(self, job: str, *, where: str) -> None:
        super().__init__(
            f"There is no job {job}.", where=where, next_step="See them all: diagnose jobs list"
        )


_FULL = "Make room there, then answer again; what was acknowledged before is safe."
_LOCKED = "Close the other program or wait, then answer again."
_READ_ONLY = "Go on in memory and print the job sheet, or name another folder in DIAGNOSE_HOME."
_AWAY = "Go on in the local file, without --store; once it is back: diagnose jobs push URL"

#: beginnings of SQLite's names of errors, longer ones before shorter ones
_OF_FILE: tuple[tuple[str, type[StoreError], str, str], ...] = (
    ("SQLITE_FULL", DiskFull, "The disk is full.", _FULL),
    ("SQLITE_IOERR_SHMSIZE", DiskFull, "The disk is full.", _FULL),
    ("SQLITE_IOERR_WRITE", DiskFull, "The disk takes no more.", _FULL),
    ("SQLITE_BUSY", Locked, "Another program is writing to the job file.", _LOCKED),
    ("SQLITE_LOCKED", Locked, "Another program is writing to the job file.", _LOCKED),
    ("SQLITE_READONLY", ReadOnly, "The job file cannot be written.", _READ_ONLY),
    ("SQLITE_CANTOPEN", ReadOnly, "The job file cannot be opened or made.", _READ_ONLY),
    ("SQLITE_PERM", ReadOnly, "The job file may not be opened.", _READ_ONLY),
)

#: beginnings of the codes of the SQL standard that PostgreSQL sends
_OF_SERVER: tuple[tuple[str, type[StoreError], str, str], ...] = (
    ("53100", DiskFull, "The server's disk is full.", _FULL),
    ("55P03", Locked, "Another counter holds this job.", _LOCKED),
    ("57014", Locked, "The server took too long to answer.", _LOCKED),
    ("25006", ReadOnly, "The server permits reading only.", _READ_ONLY),
    ("42501", ReadOnly, "The server does not let this user write.", _READ_ONLY),
    ("08", ServerAway, "The connection to the server broke.", _AWAY),
    ("57P", ServerAway, "The server is shutting down or starting.", _AWAY),
    ("53300", ServerAway, "The server takes no more connections.", _AWAY),
)


def translated(fault: BaseException | None, where: str) -> StoreError:
    """The error that a person can act on, for one that a database driver raised.

    Parameters
    ----------
    fault : the driver's own exception.
    where : the store's file or server, without a password.
    """
    words = str(fault).strip().splitlines()
    said = words[0] if words else type(fault).__name__
    if isinstance(fault, sqlite3.Error):
        name = getattr(fault, "sqlite_errorname", "")
        unreadable = said.startswith("Could not decode to UTF-8")
        if unreadable or name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
            return Damaged("The job file is damaged.", where=where)
        table, code = _OF_FILE, name
    else:
        code = getattr(fault, "sqlstate", None) or ""
        if not code and type(fault).__name__ in {"OperationalError", "ConnectionTimeout"}:
            return ServerAway(f"The server does not answer ({said}).", where=where, next_step=_AWAY)
        table = _OF_SERVER
    for beginning, kind, what, next_step in table:
        if code.startswith(beginning):
            return kind(what, where=where, next_step=next_step)
    return StoreError(
        f"The store refused: {said}.", where=where, next_step="Check the place and its rights."
    )
