"""One row a job, for a spreadsheet: no customer's words, so that the file may be passed on."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from typing import IO

from diagnose.session.events import Event
from diagnose.session.state import fold

__all__ = ["COLUMNS", "row_of", "write_csv"]

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
)


def row_of(name: str, events: Sequence[Event]) -> dict[str, object]:
    """A job's row, by `COLUMNS`; what is not known is empty."""
    job = fold(events)
    judged = job.last_judged or {}
    stage = judged.get("stage") or {}
    causes = judged.get("causes") or [{}]
    closed = job.closed
    end = next((e.time for e in reversed(events) if e.kind == "closed"), "") if closed else ""
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
        "parts": job.shock.get("parts_cost", ""),
        "cured": "" if closed is None or closed.cured is None else closed.cured,
        "not_cured_before": job.shock.get("not_cured", ""),
        "comeback_of": job.shock.get("comeback_of", ""),
    }


def write_csv(jobs: Iterable[tuple[str, Sequence[Event]]], out: IO[str]) -> int:
    """Write the table; returns the number of jobs."""
    writer = csv.DictWriter(out, COLUMNS)
    writer.writeheader()
    count = 0
    for name, events in jobs:
        writer.writerow(row_of(name, events))
        count += 1
    return count
