"""The one way to open a store, and the name of the shop's own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.records.store import JobStore

__all__ = ["JOB_FILE", "open_store"]

#: name of the job file in the shop's folder
JOB_FILE = "jobs.sqlite3"


def open_store(place: str | Path, *, patience: float = 5.0) -> JobStore:
    """Open a store, made or brought up to date if need be.

    Parameters
    ----------
    place : path of a file, or the URL of a database (``postgresql://user@host/name``).
    patience : how long to wait for another program that is writing, and for a server [s].

    Raises
    ------
    StoreError
        One of the faults in `diagnose.records.faults`; after `ReadOnly`, the place ``:memory:``
        lets the work go on.
    """
    from diagnose.records.store import JobStore

    return JobStore(place, patience=patience)
