"""The foreman's report: how the shop's calls turned out, on one page to print.

Rules
-----
- A share never stands without its n of m; where few jobs speak, the interval says so.
- No customer's word is in it.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.learning.alarms import Alarm, alarms
from diagnose.learning.priors import interval
from diagnose.pictures.chart import Chart
from diagnose.reports.foreman_figures import BINS, Against, ForemanFigures
from diagnose.reports.paper import (
    Document,
    Grid,
    Head,
    Items,
    Pairs,
    Para,
    Part,
    Picture,
)

__all__ = ["calibration", "foreman_parts", "foreman_report", "share"]

#: times that a check was done before 'never changed the call' is said of it
_TIMES = 5
#: rows of a table that could have hundreds
_MOST = 15

_ALARMS = {
    "never_expected": "found {n} times, never among the likely causes",
    "too_many": "found {n} times, {e:.1f} expected",
    "too_few": "found {n} times, {e:.1f} expected",
}


def foreman_report(figures: ForemanFigures, *, name: str = "") -> Document:
    """The report; ``name`` is the shop's."""
    return Document(
        f"How our calls turned out: {name}" if name else "How our calls turned out",
        tuple(foreman_parts(figures)),
        f"knowledge {figures.knowledge.fingerprint}; stored judgements as they were shown",
    )


def share(found: float, looked: float) -> str:
    """n of m with its 95 % interval.

    >>> share(5, 100)
    '5 of 100 (2% to 11%)'
    >>> share(0, 0)
    'none yet'
    """
    if not looked:
        return "none yet"
    low, high = interval(found, looked)
    return f"{found:.0f} of {looked:.0f} ({low:.0%} to {high:.0%})"


def foreman_parts(figures: ForemanFigures) -> list[Part]:
    """What the report says, in order."""
    if not figures.jobs:
        return [Para("No closed job yet. Close one: diagnose jobs close JOB")]
    return [
        Para(
            f"{figures.jobs} closed job{'s' if figures.jobs > 1 else ''}, "
            f"{figures.first or 'no date'} to "
            f"{figures.last or 'no date'}."
        ),
        *_outcomes(figures),
        *_calls(figures),
        *calibration(figures),
        *_comebacks(figures),
        *_spent(figures),
        *_checks(figures),
        *_stock(figures),
        *_alarms(figures),
    ]


def _stage(figures: ForemanFigures, ident: str) -> str:
    card = figures.knowledge.stages.get(ident)
    return card.name if card else ident.replace("_", " ")


def _by_depth(figures: ForemanFigures, stages: Iterable[str]) -> list[str]:
    """Stages, the smallest first."""
    cards = figures.knowledge.stages
    return sorted(stages, key=lambda s: (cards[s].rank if s in cards else 0, s))


def _outcomes(figures: ForemanFigures) -> Iterable[Part]:
    yield Head("Jobs and outcomes")
    rows = [(_stage(figures, s), f"{n}") for s, n in figures.outcomes.most_common()]
    yield Grid(("what was done", "jobs"), tuple(rows))
    yield Pairs(
        (
            ("nothing was wrong", share(figures.nothing, figures.jobs)),
            ("none of our causes", share(figures.unlisted, figures.jobs)),
            ("nobody looked", share(figures.not_looked, figures.jobs)),
        )
    )


def _calls(figures: ForemanFigures) -> Iterable[Part]:
    yield Head("Calls right and wrong")
    if not figures.calls:
        yield Para("No job has both a judgement and a finding yet.")
        return
    rows = []
    for stage in _by_depth(figures, figures.calls):
        calls = figures.calls[stage]
        jobs = calls.right + calls.too_deep + calls.too_shallow
        rows.append(
            (
                _stage(figures, stage),
                share(calls.right, jobs),
                f"{calls.too_deep}",
                f"{calls.too_shallow}",
            )
        )
    right = sum(calls.right for calls in figures.calls.values())
    deep = sum(calls.too_deep for calls in figures.calls.values())
    shallow = sum(calls.too_shallow for calls in figures.calls.values())
    rows.append(("all", share(right, right + deep + shallow), f"{deep}", f"{shallow}"))
    yield Grid(("last call", "right", "too deep", "not deep enough"), tuple(rows))


def calibration(figures: ForemanFigures) -> Iterable[Part]:
    """How sure the calls were against how often they were right; nothing without a job."""
    points = [(total / jobs, found / jobs) for jobs, total, found in figures.bins if jobs]
    if not points:
        return
    yield Head("When we say so many in a hundred")
    yield Para(
        "The likeliest cause of each job: how sure we were, and how often it was found. "
        "On the line, the numbers mean what they say."
    )
    rows = [
        (
            f"{edge:.0%} to {edge + 0.2:.0%}",
            f"{total / jobs:.0%}",
            share(found, jobs),
        )
        for edge, (jobs, total, found) in zip(BINS, figures.bins, strict=True)
        if jobs
    ]
    yield Grid(("said", "on average", "found"), tuple(rows))
    yield Picture(
        Chart(
            "Said and found",
            "Share of jobs in which the likeliest cause was found, by how likely it was said to be",
            "said",
            "found",
            (("as said", ((0.0, 0.0), (1.0, 1.0))), ("our jobs", tuple(points))),
        )
    )


def _comebacks(figures: ForemanFigures) -> Iterable[Part]:
    yield Head("Comebacks")
    yield Pairs(
        (
            ("came back as a new job", share(len(figures.comebacks), figures.jobs)),
            ("its own test did not pass at first", share(figures.not_cured, figures.jobs)),
            ("own test repeated and passed", share(figures.passed, figures.tested)),
        )
    )
    if figures.comebacks:
        yield Items(
            tuple(f"job {new} came back from {old}" for new, old in figures.comebacks[:_MOST])
        )
        yield from _rest(len(figures.comebacks) - _MOST, "more, longer ago.")


def _rest(count: int, what: str) -> Iterable[Part]:
    if count > 0:
        yield Para(f"{count} {what}")


def _spent(figures: ForemanFigures) -> Iterable[Part]:
    currency = (figures.prices or figures.knowledge.pack.economics).currency
    yield Head("Minutes and money against the estimate")
    stages = _by_depth(figures, figures.minutes.keys() | figures.parts.keys())
    if not stages:
        yield Para("No job says what it took.")
        return
    yield Para(
        "A mean job: what was estimated, and what it was. Together: the minutes at the bench's "
        "rate, and the parts."
    )
    head = ("what was done", "jobs", "minutes", f"parts, {currency}", f"together, {currency}")
    rows = []
    for stage in stages:
        tables = [table.get(stage) for table in (figures.minutes, figures.parts, figures.money)]
        jobs = max(row.jobs for row in tables if row)
        rows.append((_stage(figures, stage), f"{jobs}", *map(_against, tables)))
    yield Grid(head, tuple(rows))


def _against(row: Against | None) -> str:
    """The means of the estimate and of what it was, and how many times one the other is."""
    if row is None:
        return "not recorded"
    times = f" (×{row.real / row.estimated:.2f})" if row.estimated else ""
    return f"{row.estimated / row.jobs:.0f}, was {row.real / row.jobs:.0f}{times}"


def _checks(figures: ForemanFigures) -> Iterable[Part]:
    cards = figures.knowledge.checks
    idle = sorted(
        (-times * cards[check].minutes, cards[check].name, times)
        for check, (times, changed) in figures.changed.items()
        if times >= _TIMES and not changed
    )
    yield Head("Checks that never changed a call")
    if not idle:
        yield Para(f"None of those done {_TIMES} times or more.")
        return
    rows = tuple((name, f"{times}", f"{-minutes:.0f}") for minutes, name, times in idle[:_MOST])
    yield Grid(("check", "times done", "minutes in all"), rows)
    yield from _rest(len(idle) - _MOST, "more that took less.")


def _stock(figures: ForemanFigures) -> Iterable[Part]:
    tools = {need.replace("_", " ") for need in _needs(figures)}
    used = [(item, f"{n}") for item, n in figures.kit.most_common() if item not in tools]
    rows = tuple(used[:_MOST])
    if rows:
        yield Head("What to stock")
        yield Para(f"By the causes found in {figures.year} jobs of the last twelve months.")
        yield Grid(("part", "times needed"), rows)


def _needs(figures: ForemanFigures) -> Iterable[str]:
    """Equipment, which is not used up."""
    for check in figures.knowledge.checks.values():
        yield from check.shop_needs
    for sheet in figures.knowledge.sheets.values():
        yield from sheet.shop_needs


def _alarms(figures: ForemanFigures) -> Iterable[Part]:
    rows = alarms(figures.seen)
    yield Head("Where the cards miss something")
    yield Para(f"In the latest {len(figures.seen)} jobs.")
    if rows:
        yield Items(tuple(_alarm(figures, row) for row in rows))
    else:
        yield Para("Nothing stands out.")


def _alarm(figures: ForemanFigures, alarm: Alarm) -> str:
    card = figures.knowledge.causes.get(alarm.cause)
    name = card.name if card else alarm.cause.replace("_", " ")
    said = _ALARMS[alarm.kind].format(n=alarm.found, e=alarm.expected)
    return f"{name}: {said}" + (f"; jobs {', '.join(alarm.jobs)}" if alarm.jobs else "")
