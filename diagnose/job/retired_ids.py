"""A job of an earlier day in today's ids: answers to cards that another one has replaced.

Rules
-----
- What is stored stays as it is; whoever judges a job reads it through here.
- An answer that says less than any state of today counts as asked and not known.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from diagnose.job.state import JobState, Report
from diagnose.knowledge.models import NOT_SURE, Retired

__all__ = ["in_todays_ids"]


def in_todays_ids(job: JobState, retired: Mapping[str, Retired]) -> JobState:
    """The job with each retired id replaced by its successor; the same job where it names none.

    A later answer to one of several cards that have one successor replaces an earlier one, as it
    does for one card.
    """
    asked = {ask for ask, _ in job.reports} | job.unsure | job.struck | {*job.skipped}
    if not asked & retired.keys():
        return job
    reports, told, unsure = {}, [], set(job.unsure)
    for report in job.reports.values():
        today = _today(report, retired)
        if today is None:
            unsure.add(report.ask)
        else:
            reports[today.ask, today.by] = today
    told = [today for report in job.told if (today := _today(report, retired)) is not None]
    return replace(
        job,
        reports=reports,
        told=tuple(told),
        unsure=frozenset(_ids(unsure, retired)) - {ask for ask, _ in reports},
        struck=frozenset(_ids(job.struck, retired)),
        skipped=tuple(_ids(job.skipped, retired)),
    )


def _today(report: Report, retired: Mapping[str, Retired]) -> Report | None:
    gone = retired.get(report.ask)
    if gone is None:
        return report
    if report.readings:
        return replace(report, ask=gone.replaced_by) if gone.readings else None
    state = gone.states.get(report.state, NOT_SURE)
    return None if state == NOT_SURE else replace(report, ask=gone.replaced_by, state=state)


def _ids(asked: Iterable[str], retired: Mapping[str, Retired]) -> Iterable[str]:
    return (retired[ask].replaced_by if ask in retired else ask for ask in asked)
