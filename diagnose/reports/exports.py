"""One row a job, for a spreadsheet: no customer's words, so that the file may be passed on."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import IO

from diagnose.job.events import Event
from diagnose.job.queue import standing
from diagnose.job.state import fold

__all__ = ["CALL_AFTER", "COLUMNS", "call_on", "row_of", "service_due", "to_call", "write_csv"]

#: days after closing on which the shop asks how it went
CALL_AFTER = 14

COLUMNS = (
    "job",
    "opened",
    "closed",
    "state",
    "at",
    "judged_stage",
    "likeliest",
    "chance",
    "found",
    "stage_done",
    "minutes_estimated",
    "minutes",
    "parts_estimated",
    "parts",
    "cured",
    "not_cured_before",
    "comeback_of",
    "call_on",
    "service_due",
    "ended",
    "stands",
    "due",
)


def call_on(closed: str) -> str:
    """The day on which to ask how it went; empty where the closing has no date.

    >>> call_on("2031-04-12T09:00:00")
    '2031-04-26'
    """
    try:
        return (date.fromisoformat(closed[:10]) + timedelta(days=CALL_AFTER)).isoformat()
    except ValueError:
        return ""


def to_call(row: Mapping[str, object], today: str) -> bool:
    """Whether a job's owner is to be asked now how it went: from the day on, for a fortnight.

    >>> row = {"call_on": "2031-04-26"}
    >>> [to_call(row, f"2031-{day}T09:00") for day in ("04-25", "04-26", "05-09", "05-10")]
    [False, True, True, False]
    """
    try:
        day = date.fromisoformat(str(row.get("call_on", "")))
        late = (date.fromisoformat(today[:10]) - day).days
    except ValueError:
        return False
    return 0 <= late < CALL_AFTER


def service_due(shock: Mapping[str, object], intervals: Mapping[str, float]) -> list[str]:
    """Services whose interval the told riding hours have reached.

    >>> service_due({"hours_since_air_service": 60.0}, {"air": 50.0, "full": 200.0})
    ['air']
    """
    due = []
    for service, interval in intervals.items():
        hours = shock.get(f"hours_since_{service}_service")
        if isinstance(hours, (int, float)) and hours >= interval:
            due.append(service)
    return due


def row_of(name: str, events: Sequence[Event], intervals: Mapping[str, float]) -> dict[str, object]:
    """A job's row, by `COLUMNS`; what is not known is empty.

    Parameters
    ----------
    intervals : riding hours between services, by service.
    """
    job = fold(events)
    judged = job.last_judged or {}
    stage = judged.get("stage") or {}
    causes = judged.get("causes") or [{}]
    closed, facts = job.closed, job.facts.known()
    end = next((e.time for e in reversed(events) if e.kind == "closed"), "") if closed else ""
    stand = standing(job)
    return {
        "job": name,
        "opened": events[0].time if events else "",
        "closed": end,
        "state": "closed" if closed else "open",
        "at": job.at,
        "judged_stage": stage.get("id", ""),
        "likeliest": causes[0].get("id", ""),
        "chance": causes[0].get("probability", ""),
        "found": " ".join(closed.found) if closed else "",
        "stage_done": closed.stage if closed else "",
        "minutes_estimated": stage.get("minutes", ""),
        "minutes": "" if closed is None or closed.minutes is None else closed.minutes,
        "parts_estimated": stage.get("parts", ""),
        "parts": facts.get("parts_cost", ""),
        "cured": "" if closed is None or closed.cured is None else closed.cured,
        "not_cured_before": facts.get("not_cured", ""),
        "comeback_of": facts.get("comeback_of", ""),
        # Nobody is asked how a repair went that was none.
        "call_on": "" if closed is None or closed.ended else call_on(end),
        "service_due": " ".join(service_due(job.shock, intervals)),
        "ended": closed.ended if closed else "",
        "stands": stand.state,
        "due": stand.due,
    }


def write_csv(
    jobs: Iterable[tuple[str, Sequence[Event]]],
    out: IO[str],
    intervals: Mapping[str, float],
    calls_on: str = "",
) -> int:
    """Write the table; returns the number of jobs.

    Parameters
    ----------
    calls_on : a day: only the jobs whose owners are to be called then (`to_call`).
    """
    writer = csv.DictWriter(out, COLUMNS)
    writer.writeheader()
    count = 0
    for name, events in jobs:
        row = row_of(name, events, intervals)
        if calls_on and not to_call(row, calls_on):
            continue
        writer.writerow(row)
        count += 1
    return count
