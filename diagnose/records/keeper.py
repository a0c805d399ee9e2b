"""Keeps one job in a store while it is talked about; the job is begun with its first words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING
from uuid import uuid4

from diagnose.errors import StoreError
from diagnose.job.events import Event
from diagnose.records.faults import ServerAway

if TYPE_CHECKING:
    from diagnose.records.store import JobStore

__all__ = ["Keeper"]


class Keeper:
    """One job's place in the store.

    Parameters
    ----------
    opened : opens the store; called with the first save, so that no database library stands in
    the way of the first question. events : what the job has, not yet stored if ``job`` is empty.
    local : opens the store in which the job goes on where a server does not answer; it is the same
    job there, so that pushing it later makes one of both. None: there is no other place.

    Attributes
    ----------
    away : why the job went on in the other place, once it did.
    """

    def __init__(
        self,
        opened: Callable[[], JobStore],
        clock: Callable[[], str],
        events: Sequence[Event],
        job: str = "",
        local: Callable[[], JobStore] | None = None,
    ) -> None:
        self._opened = opened
        self._clock = clock
        self._local = local
        self._known = list(events) if job else []
        self._uid = "" if job else uuid4().hex
        self.away: ServerAway | None = None
        self._store: JobStore | None = None
        self._unsaved = [] if job else list(events)
        self.job = job
        self.fault: StoreError | None = None

    @property
    def store(self) -> JobStore:
        if self._store is None:
            self._store = self._opened()
        return self._store

    def save(self, new: Sequence[Event]) -> None:
        """Make events durable; after a fault they wait here and go along with the next ones,
        whether they are given again or not.

        Raises
        ------
        StoreError : the store cannot take them now. Where others wrote ``meanwhile``, that is known
        from now on, and the refused events are forgotten.
        """
        waited = len(self._unsaved)
        if waited and list(new[:waited]) == self._unsaved:
            new = new[waited:]
        self._unsaved.extend(new)
        try:
            try:
                self._put()
            except ServerAway as fault:
                if self._local is None or not self._uid:
                    raise
                self._go_local(fault, self._local)
        except StoreError as fault:
            self.fault = fault
            if not fault.meanwhile:
                raise
            if waited:
                # What waits here was said to be kept: it is not forgotten, nor put after theirs.
                raise StoreError(
                    fault.what, where=fault.where, next_step="Take the job sheet; begin again."
                ) from fault
            self._known += fault.meanwhile
            self._unsaved = []
            self.fault = None
            raise
        self._known += self._unsaved
        self._unsaved = []
        self.fault = None

    def _put(self) -> None:
        if not self.job:
            self.job = self.store.create(self._clock(), first=self._unsaved, uid=self._uid)
            return
        if not self._uid:
            self._uid = self.store.uid_of(self.job)
        self.store.append(self.job, len(self._known), self._unsaved)

    def _go_local(self, fault: ServerAway, local: Callable[[], JobStore]) -> None:
        from diagnose.records.exchange import take_in
        from diagnose.records.store import StoredJob

        store = local()
        name = self.job or store.day_name(self._clock())
        whole = StoredJob(name, self._uid, False, [*self._known, *self._unsaved])
        moved = take_in(store, [whole])
        if moved.conflicts:
            store.close()
            raise fault
        self.close()
        self._store, self._local, self.away = store, None, fault
        self.job = moved.renamed.get(name, name)

    def close(self) -> None:
        """Let go of the store."""
        if self._store is not None:
            self._store.close()
