"""What is noted as a shock comes in: tag, bike, things left with it, how it came.

Rules
-----
- All of it is optional and none of it changes a diagnosis.
- A tag hangs on another shock next month; a bike and its owner stay who they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from diagnose.errors import InputError
from diagnose.job.events import Arrived, Channel, Described, Event, Filed
from diagnose.job.facts import Facts
from diagnose.job.state import JobState
from diagnose.knowledge.device import SheetValues

__all__ = ["MARKS", "alike", "arrived", "intake_facts", "is_alike", "sheet_put"]

#: facts that make two jobs alike
MARKS = ("tag", "bike", "customer")

#: longest text of a mark or a thing [characters]
_LONGEST = 120

#: how many earlier jobs are told
_OFFERED = 3


def intake_facts(
    *,
    tag: str = "",
    bike: str = "",
    customer: str = "",
    marks: str = "",
    things: Iterable[str] = (),
) -> Facts:
    """Facts as they were typed; ``things``: left with it.

    Raises
    ------
    InputError : a text that is too long.
    """
    said = {"tag": tag, "bike": bike, "customer": customer, "marks": marks}
    facts: dict[str, Any] = {name: _text(text, name) or None for name, text in said.items()}
    kept = [text for thing in things if (text := _text(thing, "with"))]
    return Facts(accessories=kept or None, **facts)


def _text(given: str, where: str) -> str:
    text = " ".join(given.split())
    if len(text) > _LONGEST:
        raise InputError(
            f"{len(text)} characters are too many.",
            where=where,
            next_step=f"Use up to {_LONGEST}; the rest goes into the customer's words.",
        )
    return text


def arrived(job: JobState, channel: Channel | None, stamp: Mapping[str, Any]) -> list[Event]:
    """How a job that was begun by telephone came in, where that is told now."""
    if channel is None or channel == job.channel:
        return []
    return [Arrived(channel=channel, **stamp)]


def sheet_put(
    name: str, values: Mapping[str, float | str], held: SheetValues, stamp: Mapping[str, Any]
) -> list[Event]:
    """A data sheet is put to the job, which keeps the values that it was judged by.

    What the model has is from now on known of the shock.
    """
    has = {flag: values[flag] == "yes" for flag in held.flags if flag in values}
    told: list[Event] = [Described(shock=has, **stamp)] if has else []
    return [Filed(facts=Facts(sheet=name, sheet_values=dict(values)), **stamp), *told]


def is_alike(facts: Facts, mark: str, other: JobState) -> bool:
    """Whether another job bears the same mark, and it still says something."""
    mine, theirs = getattr(facts, mark), getattr(other.facts, mark)
    if mark == "tag" and other.closed is not None:
        return False
    return bool(mine and theirs) and mine.casefold() == theirs.casefold()


def alike(facts: Facts, others: Sequence[tuple[str, JobState]]) -> dict[str, str]:
    """Other jobs that may be of the same shock: name -> the mark that says so, in order."""
    found: dict[str, str] = {}
    for mark in MARKS:
        for name, job in others:
            if is_alike(facts, mark, job):
                found.setdefault(name, mark)
    return dict(list(found.items())[:_OFFERED])
