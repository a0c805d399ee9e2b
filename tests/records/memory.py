"""A store that is gone when the test ends."""

from __future__ import annotations

from diagnose.records.store import JobStore

__all__ = ["MemoryStore"]


class MemoryStore(JobStore):
    """A store in memory."""

    def __init__(self) -> None:
        super().__init__(":memory:")
