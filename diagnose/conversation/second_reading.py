"""Prompts of a check that reads twice: first readings, asleep, second readings; and their replies.

Rules
-----
- The gate stands before both halves; what the check does to the shock is done with the first.
- While the job sleeps, other checks go on; one that changes the pressure says so before it.
- Nobody looks at a clock here: it is as late as the latest event says, and to take a job up again
  is an event.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from diagnose.conversation.awaiting import (
    asleep_words,
    completed,
    first_lines,
    first_readings,
    hours_words,
    later_lines,
    wait_of,
)
from diagnose.conversation.guarding import Desk, admit, happenings, held, what_forbids
from diagnose.conversation.prompts import OTHER, Prompt, keyed
from diagnose.errors import InputError
from diagnose.job.events import (
    Begun,
    Event,
    FirstHalfChosen,
    Happened,
    Measured,
    SecondHalfChosen,
    WentOn,
    Withdrawn,
)
from diagnose.job.queue import Standing, ripe
from diagnose.job.state import JobState, ends_wait, fold
from diagnose.knowledge.models import Check
from diagnose.reasoning.judgement import AnswerLine
from diagnose.reasoning.reasoner import View
from diagnose.symptom_graph.routes import check_deed

__all__ = [
    "ASLEEP",
    "FIRST",
    "GIVE_UP",
    "READ_LATER",
    "SECOND",
    "asleep_reply",
    "names_no_state",
    "offer",
    "read_half",
    "twice",
    "warning",
]

#: state of the answer that takes the first readings only, and of the one that drops them
READ_LATER, GIVE_UP = "read_later", "give_up"


#: what the ids of these prompts begin with
FIRST, SECOND, ASLEEP = "first:", "second:", "asleep:"

_COMMANDS = ("back", "safety", "leave")


def names_no_state(answer: str) -> bool:
    """The answer to a wish for readings names no state of what is read."""
    return answer in (READ_LATER, GIVE_UP) or answer.startswith(OTHER)


def offer(desk: Desk, check: Check, key: int) -> tuple[AnswerLine, ...]:
    """The answer that puts the job to sleep, for a check that reads hours apart."""
    hours = wait_of(check)
    if hours is None:
        return ()
    text = f"Take the first reading now, read again later (in {hours_words(hours)})"
    return (AnswerLine(key=str(key), state=READ_LATER, text=text),)


def warning(desk: Desk, job: JobState, check: Check) -> tuple[str, ...]:
    """Said before a check that would make the first readings of another one void."""
    knowledge = desk.reasoner.knowledge
    done = happenings(knowledge.device, check_deed(knowledge, check), "", "")
    if job.awaited is None or not any(
        isinstance(event, Happened) and ends_wait(job.awaited, event) for event in done
    ):
        return ()
    return ("This changes the pressure: the first reading taken before does not count after it.",)


def twice(desk: Desk, job: JobState, view: View, person: str) -> Prompt | None:
    """The first or second readings that are to be taken now, or that the job sleeps; else None."""
    checks = desk.reasoner.knowledge.checks
    if job.awaited is not None and job.awaited.ask in checks:
        return _awaited(desk, job, view, checks[job.awaited.ask], job.awaited, person)
    done = {ask for ask, _ in job.reports} | set(job.skipped)
    for ident in job.choices.first_halves:
        if ident in checks and ident not in done:
            return _half(desk, view, checks[ident], person, None)
    return None


def _awaited(
    desk: Desk, job: JobState, view: View, check: Check, begun: Begun, person: str
) -> Prompt | None:
    late = ripe(Standing("test", begun.time, begun.due), job.time) or not begun.due
    if late or check.id in job.choices.second_halves:
        return _half(desk, view, check, person, begun)
    if check.id in job.choices.gone_on:
        return None
    rows = [
        ("leave", "Let it sleep: save and leave"),
        ("meanwhile", "Go on with other checks meanwhile"),
        ("now", "Read it now"),
        (GIVE_UP, "Give it up: it was pumped, let down or opened"),
    ]
    return Prompt(
        "question",
        f"{ASLEEP}{check.id}",
        f"{asleep_words(desk.reasoner.knowledge, job)} Nothing is let out or pumped until then.",
        answers=tuple(keyed(rows)),
        why="The loss shows only after hours; the job waits and asks for the rest by itself.",
        commands=("why", *_COMMANDS),
    )


def _half(desk: Desk, view: View, check: Check, person: str, begun: Begun | None) -> Prompt | None:
    deed, job = check_deed(desk.reasoner.knowledge, check), view.job
    if what_forbids(desk, view, deed):
        return None
    waits = held(desk, deed, job, person)
    if waits is not None:
        # The second half is read or given up; skipped, it would only come again.
        kept = tuple(c for c in waits.commands if begun is None or c != "skip")
        return replace(waits, commands=kept)
    if begun is None:
        hours = wait_of(check) or 0.0
        return Prompt(
            "readings",
            f"{FIRST}{check.id}",
            f"{check.name.capitalize()}: the first reading, now.",
            readings=first_lines(check, hours),
            steps=tuple(check.steps),
            commands=_COMMANDS,
            minutes=check.minutes / 2.0,
        )
    return Prompt(
        "readings",
        f"{SECOND}{check.id}",
        f"{asleep_words(desk.reasoner.knowledge, job)} Now the second reading.",
        answers=(
            AnswerLine(
                key="1", state=GIVE_UP, text="Give it up: it was pumped, let down or opened"
            ),
        ),
        readings=later_lines(check, begun, job.time),
        steps=tuple(check.steps),
        commands=_COMMANDS,
        minutes=check.minutes / 2.0,
    )


def asleep_reply(
    events: Sequence[Event], ident: str, state: str, stamp: Mapping[str, Any]
) -> list[Event]:
    """Events of an answer to a job that sleeps, or that gives its first readings up."""
    if state == "meanwhile":
        return [WentOn(check=ident, **stamp)]
    if state == "now":
        return [SecondHalfChosen(check=ident, **stamp)]
    if state != GIVE_UP:
        return []
    gone = {e.number for e in events if isinstance(e, Withdrawn)}
    numbers = [
        number
        for number, event in enumerate(events)
        if (isinstance(event, FirstHalfChosen | SecondHalfChosen | WentOn) and event.check == ident)
        or (isinstance(event, Begun) and event.ask == ident)
    ]
    return [Withdrawn(number=n, **stamp) for n in numbers if n not in gone]


def read_half(
    desk: Desk,
    events: Sequence[Event],
    prompt: Prompt,
    value: Mapping[str, object],
    time: str,
    person: str,
) -> list[Event]:
    """Events of the first or the second readings.

    Raises
    ------
    InputError : not what is read now, or not readable. RefusedError : the gate.
    """
    ident = prompt.id.removeprefix(FIRST).removeprefix(SECOND)
    check = desk.reasoner.knowledge.checks[ident]
    deed = check_deed(desk.reasoner.knowledge, check)
    job = fold(events)
    if prompt.id.startswith(FIRST):
        hours = wait_of(check) or 0.0
        begun = first_readings(check, value, hours, time, person)
        again = admit(desk, events, deed, time, person)
        return again or [begun, *happenings(desk.reasoner.knowledge.device, deed, time, person)]
    if job.awaited is None or job.awaited.ask != ident:
        raise InputError(
            "the first reading no longer counts: something was done to the shock since.",
            where=ident,
            next_step="Take the first reading again.",
        )
    readings = {n: str(t) for n, t in completed(check, job.awaited, value, time).items()}
    taken = Measured(ask=ident, readings=readings, by="bench", time=time, person=person)
    again = admit(desk, events, deed, time, person)
    if again:
        return again
    desk.reasoner.measure(check, readings, fold([*events, taken]))
    return [taken]
