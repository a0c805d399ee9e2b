"""The foreman's morning on one page: what is due, whom to call, what to order, what waits.

Rules
-----
- A job stands where `queue.standing` says, here as in every list.
- How sure the calls are is drawn once enough jobs are closed; until then a sentence says how many
  are missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagnose.job.queue import Standing, clock_words, in_order, promised_day, ripe, standing
from diagnose.job.queue import told as standing_words
from diagnose.job.state import JobState
from diagnose.reports.foreman import calibration
from diagnose.reports.foreman_figures import ForemanFigures
from diagnose.reports.paper import Document, Grid, Head, Para, Part

__all__ = ["OpenJob", "morning"]

#: closed jobs from which on the picture of how sure we were tells something: with so many a share
#: of one half is known to a quarter either way (95 %)
_ENOUGH = 20

#: states in which somebody else has to act first, in the order of the page
_WAITS = ("counter", "look", "bench", "test", "parts", "referred", "declined")


@dataclass(frozen=True)
class OpenJob:
    """A job that is not closed.

    ``plan``: what is planned, in words. ``kit``: parts that it needs. ``quote``: what was quoted,
    in words; empty where nothing was.
    """

    name: str
    job: JobState
    plan: str = ""
    kit: tuple[str, ...] = ()
    quote: str = ""


def morning(
    jobs: Sequence[OpenJob], figures: ForemanFigures, now: str, *, name: str = ""
) -> Document:
    """The page; ``now``: ISO 8601, ``name``: the shop's."""
    rows = in_order((standing(one.job), one) for one in jobs)
    parts: list[Part] = [Para(_sum(rows, now))]
    parts += _grid("Due", "Nothing is due.", ("job", "what", "plan"), _due(rows, now))
    parts += _grid("Call", "Nobody is to be called.", ("job", "whom", "why"), _calls(rows, now))
    parts += _grid("Order", "Nothing is to be ordered.", ("job", "not seen yet"), _orders(rows))
    parts += _grid("Waits", "Nothing waits.", ("job", "where", "plan"), _waits(rows, now))
    parts += _grid("Came back", "", ("job", "of", "plan"), _back(rows))
    parts += _sure(figures)
    return Document(f"Morning: {name}" if name else "Morning", tuple(parts), clock_words(now, ""))


_Rows = Sequence[tuple[Standing, OpenJob]]


def _sum(rows: _Rows, now: str) -> str:
    late = sum(1 for _, one in rows if _late(one.job, now))
    many = f"{len(rows)} open job{'' if len(rows) == 1 else 's'}"
    return f"{many}, {late} of them past the day that was promised." if late else f"{many}."


def _grid(
    title: str, none: str, head: tuple[str, ...], rows: Iterable[tuple[str, ...]]
) -> list[Part]:
    table = tuple(rows)
    if not table:
        return [Head(title), Para(none)] if none else []
    return [Head(title), Grid(head, table)]


def _late(job: JobState, now: str) -> bool:
    day = promised_day(job)
    return bool(day) and day[:10] < now[:10]


def _due(rows: _Rows, now: str) -> Iterable[tuple[str, ...]]:
    for stand, one in rows:
        if ripe(stand, now):
            yield one.name, standing_words(stand, now), one.plan


def _calls(rows: _Rows, now: str) -> Iterable[tuple[str, ...]]:
    for stand, one in rows:
        job, whom = one.job, one.job.facts.customer or "see the job"
        if stand.state == "approval":
            since = clock_words(stand.since, now)
            yield one.name, whom, f"asked since {since}, {job.quotes}x: {one.quote}"
        elif stand.state == "ready":
            yield one.name, whom, f"ready since {clock_words(stand.since, now)}: to be collected"
        elif _late(job, now):
            yield one.name, whom, f"promised for {clock_words(promised_day(job), now)}, not ready"
        elif job.promised and promised_day(job) != job.promised:
            day = clock_words(promised_day(job), now)
            yield one.name, whom, f"parts move it to {day}"


def _orders(rows: _Rows) -> Iterable[tuple[str, ...]]:
    """What agreed work needs and nobody has seen or ordered, job by job."""
    for stand, one in rows:
        agreed = one.job.approved is not None and not one.job.approved.declined
        if not agreed or stand.state in ("ready", "referred", "declined"):
            continue
        lines = {item: one.job.kit.get(item) for item in one.kit}
        lacking = [item for item, line in lines.items() if line is None or line.state == "unknown"]
        if lacking:
            yield one.name, ", ".join(lacking)


def _waits(rows: _Rows, now: str) -> Iterable[tuple[str, ...]]:
    by_state = sorted(rows, key=lambda row: _WAITS.index(row[0].state) if row[0].state in _WAITS
                      else len(_WAITS))  # fmt: skip
    for stand, one in by_state:
        if stand.state in _WAITS and not ripe(stand, now):
            who = f" ({one.job.person})" if one.job.person else ""
            yield one.name, f"{standing_words(stand, now)}{who}", one.plan


def _back(rows: _Rows) -> Iterable[tuple[str, ...]]:
    for _, one in rows:
        before = one.job.facts.comeback_of
        if before or one.job.facts.not_cured:
            yield one.name, before or "its own test did not pass", one.plan


def _sure(figures: ForemanFigures) -> list[Part]:
    if figures.jobs >= _ENOUGH:
        return list(calibration(figures))
    missing = _ENOUGH - figures.jobs
    many = "job is" if missing == 1 else "jobs are"
    text = f"{missing} more closed {many} needed before it can be drawn."
    return [Head("How sure our calls are"), Para(text)]
