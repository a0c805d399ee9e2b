"""One job changed from the command line: loaded, added to, and never once it has ended."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from diagnose.cli.context import Context
from diagnose.cli.jobs import store
from diagnose.errors import InputError, RefusedError

if TYPE_CHECKING:
    from diagnose.job.events import Event
    from diagnose.job.state import JobState
    from diagnose.records.store import JobStore


def stamp_of(arguments: argparse.Namespace, context: Context) -> dict[str, Any]:
    """Time and person of what is written now."""
    return {"time": context.clock(), "person": arguments.person}


@contextmanager
def still_open(
    arguments: argparse.Namespace, context: Context
) -> Iterator[tuple[JobStore, list[Event]]]:
    """The store, and the events of the job that the arguments name. What is wrong with that job
    says so by its name.

    Raises
    ------
    RefusedError : the job is closed. StoreError : it is not there.
    """
    from diagnose.job.state import fold

    name = arguments.job
    with store(arguments, context) as jobs:
        events = jobs.load(name)
        if fold(events).closed is not None:
            raise RefusedError(
                "the job is closed already.",
                where=f"job {name}",
                next_step=f"If it came back: diagnose counter --comeback-of {name} begins a new "
                "one.",
            )
        try:
            yield jobs, events
        except (InputError, RefusedError) as fault:
            where = fault.where or f"job {name}"
            raise type(fault)(fault.what, where=where, next_step=fault.next_step) from fault


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

    with still_open(arguments, context) as (jobs, events):
        new = list(make(fold(events)))
        if new:
            jobs.append(arguments.job, len(events), new)
    return fold([*events, *new])


def comeback_of(jobs: JobStore, job: str, earlier: str, stamp: dict[str, Any]) -> list[Event]:
    """What a job keeps that came back from another one of this store."""
    from diagnose.conversation.handing_on import comeback
    from diagnose.job.events import Filed
    from diagnose.job.state import fold

    return [Filed(facts=comeback(job, earlier, fold(jobs.load(earlier))), **stamp)]


def tie_bikes(jobs: JobStore, one: str, other: str, stamp: dict[str, Any]) -> None:
    """Write into both jobs that they are of one bike."""
    from diagnose.conversation.handing_on import same_bike
    from diagnose.job.state import fold

    known = {name: jobs.load(name) for name in (one, other)}
    states = {name: fold(events) for name, events in known.items()}
    for name, new in same_bike(states, stamp).items():
        jobs.append(name, len(known[name]), new)
