"""``diagnose jobs hand|ready|link``: to another person, done, or tied to another job."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any, Literal

from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json, store
from diagnose.cli.writing import add_to, stamp_of
from diagnose.errors import InputError, RefusedError, UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.job.events import Event
    from diagnose.job.state import JobState
    from diagnose.records.store import JobStore

__all__ = ["check_comeback", "hand", "link", "ready", "tie_bikes"]


Desk = Literal["counter", "bench"]


def hand(arguments: argparse.Namespace, context: Context) -> int:
    """Give a job to another person."""
    from diagnose.job.events import HandedOver

    to, people = arguments.to.strip(), context.shop.people
    if not to or (people and to not in people):
        raise InputError(
            f"'{to[:20]}' is nobody of this shop." if to else "nobody is named.",
            where="--to",
            next_step=f"People: {', '.join(sorted(people))}." if people else "Give initials.",
        )

    def make(job: JobState) -> Sequence[Event]:
        at: Desk = "counter" if (arguments.at or job.at) == "counter" else "bench"
        return [HandedOver(to=to, at=at, **stamp_of(arguments, context))]

    job = add_to(arguments, context, make)
    command = f"diagnose {job.at} {arguments.job} --person {to}"
    if arguments.json:
        print_json({"job": arguments.job, "person": job.person, "at": job.at, "resume": command})
    else:
        _say(f"Job {arguments.job} is with {to}, at the {job.at}. Go on with: {command}")
    return 0


def ready(arguments: argparse.Namespace, context: Context) -> int:
    """The work is done; the job waits for closing and for its owner."""
    from diagnose.job.events import Readied

    def make(job: JobState) -> Sequence[Event]:
        if job.awaited is not None:
            raise RefusedError(
                "its second reading is still to come.",
                where=f"job {arguments.job}",
                next_step=f"Read it, or give it up: diagnose bench {arguments.job}",
            )
        return [Readied(**stamp_of(arguments, context))]

    add_to(arguments, context, make)
    if arguments.json:
        print_json({"job": arguments.job, "state": "ready"})
    else:
        _say(f"Job {arguments.job} is ready. Close it with: diagnose jobs close {arguments.job}")
    return 0


def link(arguments: argparse.Namespace, context: Context) -> int:
    """Tie a job to the one it came back from, or to another one of the same bike."""
    from diagnose.job.events import Filed
    from diagnose.job.facts import Facts

    back, bike = arguments.comeback_of, arguments.same_bike_as
    if not back and not bike:
        raise UsageError(
            "nothing to link to.",
            where=f"job {arguments.job}",
            next_step="Give --comeback-of JOB, or --same-bike-as JOB.",
        )
    stamp = stamp_of(arguments, context)
    with store(arguments, context) as jobs:
        if back:
            check_comeback(jobs, arguments.job, back)
            events = jobs.load(arguments.job)
            fact = Filed(facts=Facts(comeback_of=back), **stamp)
            jobs.append(arguments.job, len(events), [fact])
        if bike:
            tie_bikes(jobs, arguments.job, bike, stamp)
    if arguments.json:
        print_json({"job": arguments.job, "comeback_of": back, "same_bike": bike})
        return 0
    ties = [f"came back from {back}"] if back else []
    ties += [f"is of the same bike as {bike}"] if bike else []
    _say(f"Job {arguments.job} {' and '.join(ties)}.")
    return 0


def check_comeback(jobs: JobStore, job: str, earlier: str) -> None:
    """Refuse a comeback of what has not been done.

    Raises
    ------
    InputError, RefusedError, StoreError : the same job, one that is open, one that is not there.
    """
    from diagnose.job.state import fold

    if job == earlier:
        raise InputError("a job is no comeback of itself.", where=f"job {job}")
    if fold(jobs.load(earlier)).closed is None:
        raise RefusedError(
            "that job is not closed yet.",
            where=f"job {earlier}",
            next_step=f"Go on with it: diagnose bench {earlier}",
        )


def tie_bikes(jobs: JobStore, one: str, other: str, stamp: dict[str, Any]) -> None:
    """Write into both jobs that they are of one bike.

    Raises
    ------
    InputError, StoreError : one and the same job, or one that is not there.
    """
    from diagnose.job.events import Filed
    from diagnose.job.facts import Facts
    from diagnose.job.state import fold

    if one == other:
        raise InputError("a job is linked to another one, not to itself.", where=f"job {one}")
    known = {name: jobs.load(name) for name in (one, other)}
    for name, beside in ((one, other), (other, one)):
        tied = fold(known[name]).facts.same_bike or []
        if beside not in tied:
            fact = Filed(facts=Facts(same_bike=[*tied, beside]), **stamp)
            jobs.append(name, len(known[name]), [fact])


def _say(text: str) -> None:
    from diagnose.reports.wrapping import wrapped

    print("\n".join(wrapped(text, columns())))
