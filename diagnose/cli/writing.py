"""One job changed from the command line: loaded, added to; and what people type for it."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from diagnose.cli.context import Context
from diagnose.cli.jobs import store
from diagnose.errors import InputError, RefusedError
from diagnose.nearest import nearest

if TYPE_CHECKING:
    from diagnose.job.events import Event
    from diagnose.job.state import JobState
    from diagnose.knowledge.loader import Knowledge
    from diagnose.reasoning.judgement import Judgement

__all__ = ["add_to", "day_of", "judged_now", "refuse_closed", "stages_named", "stamp_of"]


def stamp_of(arguments: argparse.Namespace, context: Context) -> dict[str, Any]:
    """Time and person of what is written now."""
    return {"time": context.clock(), "person": arguments.person}


def add_to(
    arguments: argparse.Namespace,
    context: Context,
    make: Callable[[JobState], Sequence[Event]],
) -> JobState:
    """Add to the job that the arguments name what ``make`` says; the job afterwards.

    Raises
    ------
    RefusedError : the job is closed. StoreError : it is not there, or others wrote meanwhile.
    """
    from diagnose.job.state import fold

    with store(arguments, context) as jobs:
        events = jobs.load(arguments.job)
        job = fold(events)
        refuse_closed(arguments.job, job)
        new = list(make(job))
        if new:
            jobs.append(arguments.job, len(events), new)
    return fold([*events, *new])


def judged_now(context: Context, job: JobState) -> Judgement:
    """What is said of the job now."""
    from diagnose.reasoning.judgement import judge

    return judge(context.reasoner, context.reasoner.view(job))


def stages_named(names: Sequence[str], knowledge: Knowledge) -> list[str]:
    """Stages by id or name, as typed.

    Raises
    ------
    InputError : no such stage; names the nearest.
    """
    by_name = {card.name.lower(): ident for ident, card in knowledge.stages.items()}
    found = []
    for name in names:
        word = name.strip().lower()
        ident = by_name.get(word, word.replace(" ", "_"))
        if ident not in knowledge.stages:
            raise InputError(
                f"'{name[:40]}' is no stage.",
                where="--stage",
                next_step=nearest(ident, knowledge.stages),
            )
        found.append(ident)
    return list(dict.fromkeys(found))


def day_of(text: str, today: str, where: str) -> str:
    """A day as typed (2031-04-12, today, tomorrow, +3) as ISO 8601.

    Raises
    ------
    InputError : no day, or one that is past.

    >>> day_of("+3", "2031-04-12T09:00:00", "DAY"), day_of("tomorrow", "2031-04-30", "DAY")
    ('2031-04-15', '2031-05-01')
    """
    word, now = text.strip().lower(), date.fromisoformat(today[:10])
    ahead = {"today": "0", "tomorrow": "1"}.get(word, word.removeprefix("+"))
    try:
        if ahead.isdigit() and len(ahead) <= 3:
            day = now + timedelta(days=int(ahead))
        else:
            day = date.fromisoformat(word)
    except ValueError:
        raise InputError(
            f"'{text[:20]}' is no day.",
            where=where,
            next_step="Say it as 2031-04-12, today, tomorrow, or +3 for three days from now.",
        ) from None
    if day < now:
        raise InputError(
            f"{day.isoformat()} is past.", where=where, next_step="Name a day from today on."
        )
    return day.isoformat()


def refuse_closed(name: str, job: JobState) -> None:
    """Nothing is written to a job that has ended.

    Raises
    ------
    RefusedError : the job is closed.
    """
    if job.closed is not None:
        raise RefusedError(
            "the job is closed already.",
            where=f"job {name}",
            next_step=f"If it came back: diagnose counter --comeback-of {name} begins a new one.",
        )
