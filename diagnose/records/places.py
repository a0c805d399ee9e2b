"""Where the shop's own files lie, and the one way to open the store that lies there."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.records.faults import ReadOnly

if TYPE_CHECKING:
    from diagnose.records.store import JobStore

__all__ = ["JOB_FILE", "home", "open_store"]

#: name of the job file inside `home`
JOB_FILE = "jobs.sqlite3"


def home(environ: Mapping[str, str]) -> Path:
    """Folder of the shop's own files, made if it is missing.

    Parameters
    ----------
    environ : the environment; ``DIAGNOSE_HOME`` names the folder, else the platform's data folder.

    Raises
    ------
    ReadOnly
        The folder is not there and cannot be made.
    """
    named = environ.get("DIAGNOSE_HOME", "")
    if named:
        folder = Path(named).expanduser()
    else:
        import platformdirs

        folder = platformdirs.user_data_path("diagnose", appauthor=False)
    try:
        # Customers' data: not for other people on the machine.
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as fault:
        raise ReadOnly(
            f"The folder cannot be made: {fault.strerror}.",
            where=str(folder),
            next_step="Name a folder that can be written in DIAGNOSE_HOME.",
        ) from fault
    return folder


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
