"""Whether another job was in hand at the bench: the store knows who wrote to which job last."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.errors import StoreError
from diagnose.job.tag import Touch, other_in_hand

if TYPE_CHECKING:
    from diagnose.records.keeper import Keeper
    from diagnose.records.store import JobStore

__all__ = ["KeptTag", "latest_touch"]

#: jobs that are looked at: whoever had more in hand meanwhile is asked anyway
_LOOKED_AT = 10


def latest_touch(store: JobStore, job: str) -> int:
    """Number of the latest event of a job."""
    return next((row.latest for row in store.find(search=job) if row.job == job), 0)


class KeptTag:
    """The tag of the job that a keeper keeps.

    Parameters
    ----------
    since : number of the store's event up to which the tag counts as read; None: until now.
    """

    def __init__(self, keeper: Keeper, person: str, since: int | None) -> None:
        self._keeper = keeper
        self._person = person
        self._since = since

    @property
    def job(self) -> str:
        return self._keeper.job

    def _touches(self) -> list[Touch]:
        rows = self._keeper.store.find(limit=_LOOKED_AT)
        return [Touch(row.job, row.person, row.latest) for row in rows]

    def doubtful(self) -> bool:
        """Whether another job was in hand; so too where the store cannot tell."""
        if self._since is None:
            self.read()
        try:
            touches = self._touches()
        except StoreError:
            return True
        return other_in_hand(self.job, self._person, touches, self._since or 0)

    def read(self) -> None:
        """The tag was read now."""
        try:
            self._since = max((touch.number for touch in self._touches()), default=0)
        except StoreError:
            # It is asked for again at the next reading.
            return
