"""To another person, done, to another shop, or tied to another job."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, Literal

from diagnose.errors import InputError, RefusedError
from diagnose.job.events import Event, Filed, HandedOver, Readied, Referred
from diagnose.job.facts import Facts
from diagnose.job.state import JobState

__all__ = ["Place", "comeback", "hand_on", "ready", "refer", "same_bike"]

Place = Literal["counter", "bench"]


def hand_on(
    stamp: Mapping[str, Any], *, to: str, at: Place = "bench", people: Collection[str] = ()
) -> list[Event]:
    """Another person goes on with the job.

    Parameters
    ----------
    people : who there is in the shop; empty: nobody is listed.

    Raises
    ------
    InputError : nobody of the shop.
    """
    if people and to not in people:
        raise InputError(
            f"'{to[:20]}' is nobody of this shop." if to else "nobody is named.",
            where="to",
            next_step=f"People: {', '.join(sorted(people))}.",
        )
    return [HandedOver(to=to, at=at, **stamp)]


def ready(job: JobState, stamp: Mapping[str, Any]) -> list[Event]:
    """The work is done; the job waits for closing and for its owner.

    Raises
    ------
    RefusedError : a second reading is still to come, or the customer's word on a quote.
    """
    if job.quoted is not None:
        raise RefusedError(
            "the customer's word on the quote is still out.",
            next_step="Record it: diagnose jobs approve JOB, or decline.",
        )
    if job.awaited is not None:
        raise RefusedError(
            "its second reading is still to come.",
            next_step="Read it, or give it up, at the bench.",
        )
    return [Readied(**stamp)]


def refer(stamp: Mapping[str, Any], *, to: str, told: str = "") -> list[Event]:
    """It goes, with its pack, to somebody else; ``told``: what the customer was told."""
    return [Referred(to=to, told=told, **stamp)]


def comeback(name: str, earlier: str, before: JobState) -> Facts:
    """The job of this name came back from an earlier one.

    Parameters
    ----------
    name : empty for a job that has none yet. before : the earlier job.

    Raises
    ------
    InputError : one and the same job. RefusedError : the earlier one is not closed.
    """
    if name == earlier:
        raise InputError("a job is no comeback of itself.", where=f"job {name}")
    if before.closed is None:
        raise RefusedError(
            "that job is not closed yet.",
            where=f"job {earlier}",
            next_step=f"Go on with it: diagnose bench {earlier}",
        )
    return Facts(comeback_of=earlier)


def same_bike(jobs: Mapping[str, JobState], stamp: Mapping[str, Any]) -> dict[str, list[Event]]:
    """Two jobs are of one bike: what each of them, by name, has to keep.

    Raises
    ------
    InputError : one and the same job.
    """
    if len(jobs) < 2:
        raise InputError(
            "a job is linked to another one, not to itself.", where=f"job {next(iter(jobs))}"
        )
    new: dict[str, list[Event]] = {}
    for name, job in jobs.items():
        tied = job.facts.same_bike or []
        more = [other for other in jobs if other not in (name, *tied)]
        if more:
            new[name] = [Filed(facts=Facts(same_bike=[*tied, *more]), **stamp)]
    return new
