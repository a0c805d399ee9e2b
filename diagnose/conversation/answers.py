"""What a reply to a prompt adds to a job's events; what cannot be understood adds nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.conversation.agreements import approve, decline, limit_of, quote
from diagnose.conversation.endings import ready_day
from diagnose.conversation.guarding import Desk, admit, happenings, same_state
from diagnose.conversation.handing_on import hand_on, ready
from diagnose.conversation.opened import compared
from diagnose.conversation.prompts import (
    APPROVAL,
    DECIDE,
    INSIDE,
    LOOK,
    MAIN,
    NOTHING,
    OTHER,
    READY,
    SIGHT,
    UNDERSTOOD,
    Prompt,
)
from diagnose.conversation.second_reading import ASLEEP, READ_LATER, SECOND, asleep_reply
from diagnose.conversation.understanding import chosen_readings, said_so
from diagnose.errors import InputError, RefusedError
from diagnose.job.events import (
    NOT_SURE,
    Acknowledged,
    Answered,
    Booked,
    CheckReadied,
    ClosingBegun,
    Described,
    Event,
    FirstHalfChosen,
    LookLeft,
    Promised,
    SheetChosen,
    SightLeft,
    Skipped,
    Stepped,
    Struck,
    Understood,
    Withdrawn,
)
from diagnose.job.job_file import answer_events
from diagnose.job.state import JobState, fold, undoable
from diagnose.knowledge.models import Check, Frame
from diagnose.reasoning.chosen_sheet import next_step, openable, sheet_in_hand
from diagnose.reasoning.open_options import open_rows
from diagnose.reasoning.options import can_look_at, find_card, parts_of, reporter_of
from diagnose.symptom_graph.routes import check_deed, deed_of, step_deed

__all__ = ["chosen", "chosen_several", "last_reply", "measured"]


def measured(
    desk: Desk,
    events: Sequence[Event],
    prompt: Prompt,
    value: Mapping[str, object],
    time: str,
    person: str,
) -> list[Event]:
    """Events of readings.

    Raises
    ------
    InputError : not readings that are asked for here, or not readable. RefusedError : the gate.
    """
    if not prompt.readings:
        raise InputError("no readings are asked for here.", where=prompt.id)
    new = answer_events(prompt.id, dict(value), desk.reasoner.knowledge, "bench", time)
    new = [e.model_copy(update={"person": person}) for e in new]
    knowledge = desk.reasoner.knowledge
    card = knowledge.checks[prompt.id]
    deed = check_deed(knowledge, card)
    again = admit(desk, events, deed, time, person)
    if again:
        return again
    readings = {str(k): str(v) for k, v in value.items()}
    desk.reasoner.measure(card, readings, fold([*events, *new]))
    return [*new, *happenings(knowledge.device, deed, time, person)]


def chosen_several(
    desk: Desk,
    events: Sequence[Event],
    prompt: Prompt,
    states: Sequence[str],
    time: str,
    person: str,
) -> list[Event]:
    """Events of a reply that takes several answers; what it does not name is not so."""
    stamp: dict[str, Any] = {"time": time, "person": person}
    if prompt.id == UNDERSTOOD:
        return chosen_readings(desk, events, states, stamp)
    if prompt.id in desk.reasoner.knowledge.frames:
        return _framed(desk, events, desk.reasoner.knowledge.frames[prompt.id], states, stamp)
    rows = {row.feature: row for row in desk.reasoner.knowledge.pack.first_sight}
    there = {n for state in states if state in rows for n in (state, *rows[state].implies)}
    asked = {answer.state for answer in prompt.answers} & rows.keys()
    return [Described(shock={name: name in there for name in sorted(asked | there)}, **stamp)]


def chosen(
    desk: Desk, events: Sequence[Event], prompt: Prompt, state: str, time: str, person: str
) -> list[Event]:
    """Events of an answer.

    Raises
    ------
    RefusedError : the gate.
    """
    stamp: dict[str, Any] = {"time": time, "person": person}
    ident = prompt.id
    if prompt.kind == "caution":
        same_state(desk, events, prompt, person)
        return [Acknowledged(hazards=list(prompt.acknowledge), step=ident, **stamp)]
    if ident in (MAIN, UNDERSTOOD):
        return said_so(desk, events, ident, state, stamp)
    if ident == SIGHT:
        if state == NOT_SURE:
            return [SightLeft(**stamp)]
        return chosen_several(desk, events, prompt, [state], time, person)
    if ident == LOOK:
        return _looked(desk, events, state, stamp)
    if ident == DECIDE:
        return _decided(desk, events, state, stamp)
    if ident.startswith(INSIDE):
        return compared(desk.reasoner.view(fold(events)), ident, state, stamp)
    if ident.startswith("step:"):
        return _stepped(desk, events, ident, state, stamp)
    if ident.startswith(READY):
        check = ident.removeprefix(READY)
        ready = state == "ready"
        return [CheckReadied(check=check, **stamp) if ready else Skipped(ask=check, **stamp)]
    if ident.startswith(APPROVAL):
        return _approved(desk, fold(events), [ident.removeprefix(APPROVAL)], state, stamp)
    if state.startswith(OTHER):
        return _other(desk, ident, state, stamp)
    if ident.startswith((ASLEEP, SECOND)):
        return asleep_reply(events, ident.partition(":")[2], state, stamp)
    if state == READ_LATER:
        return [FirstHalfChosen(check=ident, **stamp)]
    return _answered(desk, events, ident, state, stamp)


def _approved(
    desk: Desk, job: JobState, stages: list[str], state: str, stamp: dict[str, Any]
) -> list[Event]:
    if state == "leave":
        return []
    if state == "ask_later":
        return quote(desk.reasoner, job, stamp, stages=stages)
    if state == "declined":
        return decline(desk.reasoner, job, stamp, stages=stages)
    limit = limit_of(desk.reasoner, job, stages[0])
    return approve(desk.reasoner, job, stamp, stages=stages, up_to=limit)


def _looked(desk: Desk, events: Sequence[Event], state: str, stamp: dict[str, Any]) -> list[Event]:
    if state == NOT_SURE:
        return [LookLeft(**stamp)]
    if state == NOTHING:
        return _all_well(desk, fold(events), stamp)
    check, word = state.split("=")
    return [Answered(ask=check, state=word, by="counter", **stamp)]


def _answered(
    desk: Desk, events: Sequence[Event], ident: str, state: str, stamp: dict[str, Any]
) -> list[Event]:
    card = find_card(desk.reasoner.compiled, ident)
    if isinstance(card, Frame):
        return _framed(desk, events, card, [state], stamp)
    by = card.at if isinstance(card, Check) else "customer"
    answer = Answered(ask=ident, state=state, by=by, **stamp)
    if state == NOT_SURE or not isinstance(card, Check):
        return [answer]
    knowledge = desk.reasoner.knowledge
    deed = check_deed(knowledge, card)
    again = admit(desk, events, deed, stamp["time"], stamp["person"])
    done = happenings(knowledge.device, deed, stamp["time"], stamp["person"])
    return again or [answer, *done]


def _other(desk: Desk, ident: str, state: str, stamp: dict[str, Any]) -> list[Event]:
    """What is asked about is not there: of that part nothing is asked again."""
    name, compiled = state.removeprefix(OTHER), desk.reasoner.compiled
    has = parts_of(compiled, desk.reasoner.card(ident))[name]
    return [Described(shock={name: not has}, **stamp)]


def _decided(desk: Desk, events: Sequence[Event], state: str, stamp: dict[str, Any]) -> list[Event]:
    if state == "book":
        return [Booked(**stamp)]
    if state == "to_bench":
        return hand_on(stamp, to=stamp["person"])
    if state == "sheet":
        job = fold(events)
        back = sheet_in_hand(desk.reasoner, job) if job.set_back else None
        stage = back or openable(desk.reasoner, desk.reasoner.view(job))
        if stage is None:
            raise RefusedError(
                "no sheet is left to go through.", where=DECIDE, next_step="Close the job."
            )
        return [SheetChosen(stage=stage.id, **stamp)]
    if state == "close":
        return [ClosingBegun(**stamp)]
    if state in ("agree", "decline"):
        job = fold(events)
        if state == "decline":
            return decline(desk.reasoner, job, stamp)
        day = "" if job.promised else ready_day(desk, stamp["time"])
        promise = [Promised(day=day, **stamp)] if day else []
        return [*approve(desk.reasoner, job, stamp), *promise]
    return []


def _stepped(
    desk: Desk, events: Sequence[Event], ident: str, state: str, stamp: dict[str, Any]
) -> list[Event]:
    _, name, number = ident.split(":")
    stage = desk.reasoner.knowledge.sheets[name]
    if state == "stop":
        return [ClosingBegun(**stamp)]
    job = fold(events)
    if sheet_in_hand(desk.reasoner, job) != stage or int(number) != next_step(job, stage):
        raise RefusedError(
            "another step of this sheet comes first.",
            where=ident,
            next_step="Go through the sheet in its order.",
        )
    if job.set_back:
        raise RefusedError(
            "what was found inside is not what was expected.",
            where=ident,
            next_step="Answer what is asked, then choose to go on with the sheet.",
        )
    knowledge = desk.reasoner.knowledge
    if state.startswith(OTHER):
        name = state.removeprefix(OTHER)
        wanted = stage.steps[int(number)].applies_when[name]
        return [Described(shock={name: not wanted}, **stamp)]
    deed = step_deed(knowledge, stage, int(number))
    again = admit(desk, events, deed, stamp["time"], stamp["person"])
    if again:
        return again
    new: list[Event] = [
        Stepped(stage=name, number=int(number), **stamp),
        *happenings(knowledge.device, deed, stamp["time"], stamp["person"]),
    ]
    after = fold([*events, *new])
    if next_step(after, stage) == len(stage.steps) and stage.id != knowledge.device.stages.shut:
        plan = desk.reasoner.view(job).decision.plan_sheets
        left = (knowledge.sheets[ident] for ident in plan)
        done = all(next_step(after, other) == len(other.steps) for other in left)
        if done and after.awaited is None:
            new += ready(after, stamp)
    return new


def _framed(
    desk: Desk, events: Sequence[Event], frame: Frame, states: Sequence[str], stamp: dict[str, Any]
) -> list[Event]:
    """Events of an answer to a frame question: what was named, and that the rest is not so.

    Raises
    ------
    RefusedError : the gate.
    """
    knowledge = desk.reasoner.knowledge
    rows = open_rows(desk.reasoner.view(fold(events)).belief, frame)
    # Of two grades of one thing the graver is so: in the order of its states.
    told = [state.partition("=")[::2] for state in states if "=" in state]
    named: dict[str, str] = dict(sorted(told, key=lambda row: _grade(desk, *row)))
    unknown, by = NOT_SURE in states, reporter_of(knowledge, frame)
    new: list[Event] = [
        Answered(
            ask=ask,
            state=named.get(ask, NOT_SURE if unknown else _healthy(desk, ask)),
            by=by,
            **stamp,
        )
        for ask in dict.fromkeys(row.ask for row in rows)
    ]
    deed = deed_of(knowledge, frame.id)
    if deed is None or unknown:
        return new
    again = admit(desk, events, deed, stamp["time"], stamp["person"])
    return again or [*new, *happenings(knowledge.device, deed, stamp["time"], stamp["person"])]


# the look, and taking back ---------------------------------------------------------------------


def _all_well(desk: Desk, job: JobState, stamp: dict[str, Any]) -> list[Event]:
    """The healthy answer of each of the look's checks that was not answered."""
    done = {ask for ask, _ in job.reports}
    return [
        Answered(ask=ident, state=_healthy(desk, ident), by="counter", **stamp)
        for ident in desk.reasoner.knowledge.pack.look
        if ident not in done and can_look_at(desk.reasoner.knowledge.checks[ident], job)
    ]


def _grade(desk: Desk, ask: str, state: str) -> int:
    return desk.reasoner.compiled.states(desk.reasoner.card(ask).observes).index(state)


def _healthy(desk: Desk, ask: str) -> str:
    return desk.reasoner.compiled.states(desk.reasoner.card(ask).observes)[0]


def last_reply(desk: Desk, events: Sequence[Event]) -> list[int]:
    """Numbers of the events that the latest reply added: 'all well' answers several checks, a frame
    question each of its rows, and what of the words was not meant is struck out together.
    """
    numbers: list[int] = []
    events = list(events)
    while (number := undoable(events)) is not None:
        if numbers and not _together(desk, events, number, numbers[-1]):
            break
        numbers.append(number)
        if isinstance(events[number], Understood):
            return [*numbers, *_struck_with(events, number)]
        events.append(Withdrawn(number=number))
    return numbers


def _struck_with(events: Sequence[Event], number: int) -> list[int]:
    """Numbers of the strikes right before this event."""
    struck: list[int] = []
    while isinstance(events[number - 1 - len(struck)], Struck):
        struck.append(number - 1 - len(struck))
    return struck


def _together(desk: Desk, events: Sequence[Event], number: int, later: int) -> bool:
    """Whether two answers came by one reply: 'all well', or rows of one frame side by side."""
    one, other = events[number], events[later]
    if _well(desk, one) and _well(desk, other):
        return True
    if not (isinstance(one, Answered) and isinstance(other, Answered) and later == number + 1):
        return False
    same = (one.time, one.person, one.by) == (other.time, other.person, other.by)
    frames = ({row.ask for row in f.rows} for f in desk.reasoner.knowledge.frames.values())
    return same and one.ask != other.ask and any({one.ask, other.ask} <= rows for rows in frames)


def _well(desk: Desk, event: Event) -> bool:
    """A check of the look that found nothing."""
    if not isinstance(event, Answered) or event.ask not in desk.reasoner.knowledge.pack.look:
        return False
    return event.state == _healthy(desk, event.ask)
