"""Where a job stands in the shop's queue, what it waits for, and what ripens next.

Rules
-----
- A pure function of the job's events; what depends on the time of day is given from outside.
- Exactly one state for each job: the one that says what has to happen next.
- A day is a day, a time is a time: ``2031-04-12`` is ripe when that day begins.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from diagnose.job.state import JobState  # a list of jobs does not wait for it

__all__ = [
    "STATES",
    "Standing",
    "clock_words",
    "in_order",
    "moment",
    "promised_day",
    "ripe",
    "standing",
    "told",
    "working_day",
]

#: state -> its words; in the order in which a job usually goes through them
STATES: dict[str, str] = {
    "new": "nothing yet",
    "counter": "at the counter",
    "look": "waits for a look",
    "approval": "waits for the customer's word",
    "parts": "waits for parts",
    "bench": "on the bench",
    "test": "on test",
    "ready": "ready",
    "referred": "referred out",
    "declined": "declined",
    "closed": "closed",
}

#: states in which somebody outside the bench has to do something, longest first
_PENDING = ("approval",)


_WEEK = 7


@dataclass(frozen=True)
class Standing:
    """``since``: when it came into this state. ``due``: when it ripens; both ISO 8601 or empty."""

    state: str
    since: str = ""
    due: str = ""


def standing(job: JobState) -> Standing:
    """Where a job stands.

    >>> from diagnose.job.state import JobState
    >>> standing(JobState())
    Standing(state='new', since='', due='')
    """
    promised = promised_day(job)
    if not job.count:
        return Standing("new")
    if job.closed is not None:
        return Standing("closed", job.closed.time)
    if job.referred is not None:
        return Standing("referred", job.referred.time)
    if job.quoted is not None:
        return Standing("approval", job.quoted.time, promised)
    if _declined(job):
        return Standing("declined", job.answers[-1].time)
    if job.ready:
        return Standing("ready", job.here_since, promised)
    if job.awaited is not None:
        return Standing("test", job.awaited.time, job.awaited.due)
    ordered = [line for line in job.kit.values() if line.state == "order"]
    if ordered:
        arrives = max((line.day for line in ordered if line.day), default="")
        return Standing("parts", min(line.time for line in ordered), arrives or promised)
    if job.at == "bench":
        return Standing("bench" if job.begun else "look", job.here_since, promised)
    return Standing("look" if job.booked else "counter", job.here_since, promised)


def _declined(job: JobState) -> bool:
    """The last word was no, and nothing that was agreed to before is left."""
    agreed: set[str] = set()
    for answer in job.answers:
        if not answer.declined:
            agreed |= set(answer.stages)
        elif answer.stages:
            agreed -= set(answer.stages)
        else:
            agreed.clear()
    return bool(job.answers) and job.answers[-1].declined and not agreed


def promised_day(job: JobState) -> str:
    """The day on which it can be ready: as promised, or later where a part comes later.

    Parts on order without a day leave the promise as it is; it was made by a person.
    """
    days = [line.day for line in job.kit.values() if line.state == "order" and line.day]
    return max([job.promised, *days]) if job.promised else ""


def working_day(now: str, days: int, closed_on: Collection[int] = ()) -> str:
    """The day that many working days after a time; empty where the time is none.

    Parameters
    ----------
    closed_on : weekdays that do not count, Monday is 0; all of them: none is closed.

    >>> working_day("2031-04-11T17:00:00", 2, {5, 6})  # a Friday
    '2031-04-15'
    """
    try:
        day = date.fromisoformat(now[:10])
    except ValueError:
        return ""
    closed = {*closed_on} if len({*closed_on}) < _WEEK else set()
    while days > 0 or day.weekday() in closed:
        day += timedelta(days=1)
        days -= day.weekday() not in closed
    return day.isoformat()


def moment(text: str) -> datetime | None:
    """A stored day or time; None where it is neither. Without an offset it is local.

    >>> moment("2031-04-12") is not None, moment("soon")
    (True, None)
    """
    try:
        return datetime.fromisoformat(text).astimezone()
    except (ValueError, OverflowError, OSError):
        return None


def ripe(stand: Standing, now: str) -> bool:
    """Whether what it waits for is due now."""
    due, at = moment(stand.due), moment(now)
    return due is not None and at is not None and due <= at


_Row = TypeVar("_Row")


def in_order(rows: Iterable[tuple[Standing, _Row]]) -> list[tuple[Standing, _Row]]:
    """What ripens next first: unanswered quotes from the oldest on and what has a day or a time,
    by that; then the others, the longest there first.
    """

    def key(pair: tuple[Standing, _Row]) -> tuple[int, float]:
        stand = pair[0]
        pending = stand.state in _PENDING
        at = moment(stand.since if pending else stand.due)
        if at is not None:
            return 0, at.timestamp()
        since = moment(stand.since)
        return 1, since.timestamp() if since else 0.0

    return sorted(rows, key=key)


def told(stand: Standing, now: str) -> str:
    """The state in words, with its time: by the clock today, by the day otherwise."""
    words = STATES.get(stand.state, stand.state.replace("_", " "))
    if stand.state == "test":
        when = "second reading due since" if ripe(stand, now) else "reading again after"
        return f"{words}, {when} {clock_words(stand.due, now)}" if stand.due else words
    if stand.state == "approval":
        return f"{words} since {clock_words(stand.since, now)}"
    if stand.due:
        kind = "expected" if stand.state == "parts" else "promised for"
        late = ", which is past" if stand.due[:10] < now[:10] else ""
        return f"{words}, {kind} {clock_words(stand.due, now)}{late}"
    return words


def clock_words(text: str, now: str) -> str:
    """A time of today as hours and minutes, another day's with its date, another year's with it.

    >>> clock_words("2031-04-12T18:00:00+00:00", "2031-04-12T09:00:00+00:00")
    '18:00'
    >>> clock_words("2031-04-13T08:30:00", "2031-04-12T09:00:00"), clock_words("2031-04-13", "")
    ('13 Apr 08:30', '13 Apr')
    """
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        return text or "no time noted"
    day = f"{at.day} {at:%b}" if text[:4] == now[:4] or not now else f"{at.day} {at:%b %Y}"
    if len(text) <= 10:
        return day
    return f"{at:%H:%M}" if text[:10] == now[:10] else f"{day} {at:%H:%M}"
