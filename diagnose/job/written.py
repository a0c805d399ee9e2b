"""What is known of a job as found and as left: read, written at its sheet, told at its end."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.job.state import JobState
from diagnose.knowledge.device import Device

__all__ = ["FOUND", "LEFT", "at_both_times", "recorded"]

FOUND, LEFT = "found", "left"


def recorded(job: JobState, record: str) -> str:
    """What was written down under this name last; empty: nothing."""
    texts = [values[record] for values in job.recorded.values() if record in values]
    return texts[-1] if texts else ""


def at_both_times(job: JobState, device: Device, thing: str) -> Mapping[str, str]:
    """`FOUND` and `LEFT` -> text of one of `Papers.both_times`, as far as it is known.

    What was written at the end goes before the sheet, the sheet before a reading. A reading is as
    found where nothing was done to the shock before it, else as left.
    """
    papers, known = device.papers, {}
    check, reading = papers.read_by.get(thing, ("", ""))
    for report in job.reports.values():
        if report.ask == check and reading in report.readings:
            known[LEFT if report.epoch else FOUND] = report.readings[reading]
    if FOUND not in known:
        field = papers.told_as_found.get(thing, "")
        value = job.shock.get(field)
        if value:
            known[FOUND] = f"{value:.0f} {device.unit_of(field)} was told as usual"
    for time in (FOUND, LEFT):
        text = recorded(job, f"{thing} as {time}")
        if text:
            known[time] = text
    told = (job.facts.as_left or {}).get(thing)
    return {**known, LEFT: told} if told else known
