"""Keeps one job in a store while it is talked about; the job is begun with its first words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from diagnose.errors import StoreError
from diagnose.session.events import Event

if TYPE_CHECKING:
    from diagnose.records.store import JobStore

__all__ = ["Keeper"]


class Keeper:
    """One job's place in the store.

    Parameters
    ----------
    opened : opens the store; called with the first save, so that no database library stands in
    the way of the first question. events : what the job has, not yet stored if ``job`` is empty.
    """

    def __init__(
        self,
        opened: Callable[[], JobStore],
        clock: Callable[[], str],
        events: Sequence[Event],
        job: str = "",
    ) -> None:
        self._opened = opened
        self._clock = clock
        self._store: JobStore | None = None
        self._unsaved = [] if job else list(events)
        self._count = len(events) if job else 0
        self.job = job
        self.fault: StoreError | None = None

    @property
    def store(self) -> JobStore:
        if self._store is None:
            self._store = self._opened()
        return self._store

    def save(self, new: Sequence[Event]) -> None:
        """Make events durable; after a fault they wait here and go along with the next ones.

        Raises
        ------
        StoreError : the store cannot take them now.
        """
        self._unsaved.extend(new)
        try:
            if self.job:
                self._count = self.store.append(self.job, self._count, self._unsaved)
            else:
                self.job = self.store.create(self._clock(), first=self._unsaved)
                self._count = len(self._unsaved)
        except StoreError as fault:
            self.fault = fault
            raise
        self._unsaved = []
        self.fault = None

    def close(self) -> None:
        """Let go of the store."""
        if self._store is not None:
            self._store.close()
