"""The door to the job store: every event of every job, in a file or on a server.

Rules
-----
- An event that `append` has returned from survives a killed process and a power cut.
- Events are numbered from 0 in each job; order is by number, never by time.
- Nothing here imports pydantic until an event is read or written, so that neither a list nor the
  first screen is kept waiting for it.
"""

from __future__ import annotations

from diagnose.records.faults import (
    Conflict,
    Damaged,
    DiskFull,
    Locked,
    NewerFile,
    ReadOnly,
    ServerAway,
    UnknownJob,
)
from diagnose.records.places import JOB_FILE, open_store

__all__ = [
    "JOB_FILE",
    "Conflict",
    "Damaged",
    "DiskFull",
    "Locked",
    "NewerFile",
    "ReadOnly",
    "ServerAway",
    "UnknownJob",
    "open_store",
]
