"""Prompts that show the call: hand over, book, go through a sheet, close."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.conversation.awaiting import asleep_words
from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import DECIDE, TOLD, Prompt, keyed
from diagnose.errors import InputError
from diagnose.job.agreement import agreed_words
from diagnose.job.events import Event
from diagnose.job.queue import clock_words, promised_day, working_day
from diagnose.job.state import JobState, fold
from diagnose.knowledge.models import Sheet
from diagnose.reasoning.chosen_sheet import declined, openable
from diagnose.reasoning.judgement import AnswerLine, CautionLine, caution_lines, judge
from diagnose.reasoning.reasoner import View

__all__ = [
    "closed",
    "decide",
    "first_words",
    "ready_day",
    "refused",
    "set_back",
    "told",
    "told_reply",
]


def first_words(desk: Desk, view: View) -> tuple[CautionLine, ...]:
    """Cautions that what the customer said calls for at once."""
    cautions = desk.reasoner.knowledge.cautions
    return tuple(caution_lines([cautions[ident] for ident in view.belief.first_words]))


def _called(
    desk: Desk, view: View, kind: str, ident: str, text: str, answers: Sequence[AnswerLine] = ()
) -> Prompt:
    words = ("words",) if kind == "judgement" and view.job.at == "counter" else ()
    return Prompt(
        kind,
        ident,
        text,
        answers=tuple(answers),
        judgement=judge(desk.reasoner, view),
        first_words=first_words(desk, view),
        commands=("back", "why", "safety", *words, "leave"),
    )


def closed(desk: Desk, view: View) -> Prompt:
    """The last thing that a job shows."""
    return _called(desk, view, "done", "closed", "This job is closed.")


def decide(desk: Desk, view: View) -> Prompt:
    """The call, and what to do with it."""
    job = view.job
    return _at_counter(desk, view) if job.at == "counter" else _at_bench(desk, view, job)


def _at_counter(desk: Desk, view: View) -> Prompt:
    """Every act keeps its key, whichever of them are there."""
    job, nothing = view.job, desk.reasoner.knowledge.device.stages.nothing
    advice = [*view.decision.plan_sheets] == [nothing]
    offered = not (advice or view.belief.signs or job.answers)
    acts = {
        "agree": (offered, "The customer agrees to this plan"),
        "decline": (offered, "The customer declines this plan"),
        "book": (not job.booked, "Book it in: no more questions, it waits for the bench"),
        "to_bench": (True, "Hand it over: the bench goes on now"),
        "close": (advice and not view.belief.signs, "Done here: close the job"),
        "leave": (True, "Save and leave"),
    }
    rows = [
        AnswerLine(key=str(n), state=state, text=text)
        for n, (state, (there, text)) in enumerate(acts.items(), 1)
        if there
    ]
    booked = "Booked in: it waits for the bench's look." if job.booked else "The call so far."
    day = ready_words(desk, job) if offered or job.promised else ""
    said = " ".join(filter(None, (booked, day, _agreed(desk, job))))
    return _called(desk, view, "judgement", DECIDE, said, rows)


def ready_day(desk: Desk, now: str) -> str:
    """The day on which work that is agreed to now is ready, as the shop tells it; empty: none."""
    days = desk.house.ready_days
    return "" if days is None else working_day(now, days, desk.house.closed_on)


def ready_words(desk: Desk, job: JobState) -> str:
    """When it is ready: as promised, else as the shop would promise it now."""
    if job.promised:
        return f"Promised for {clock_words(promised_day(job), job.time)}."
    day = ready_day(desk, job.time)
    return f"Ready {clock_words(day, job.time)}, if agreed now." if day else ""


def _agreed(desk: Desk, job: JobState) -> str:
    return agreed_words(desk.reasoner.knowledge, job, desk.reasoner.money.currency)


def _at_bench(desk: Desk, view: View, job: JobState) -> Prompt:
    stage = openable(desk.reasoner, view)
    rows = []
    sure = judge(desk.reasoner, view).sure_enough
    text = "Sure enough to go ahead." if sure else "No check left is worth its minutes."
    if stage is not None and declined(desk.reasoner, stage, job):
        text = (
            f"The customer declined: {stage.name}. Nothing is opened. If the answer is another "
            "one now: diagnose jobs approve JOB."
        )
    elif stage is not None:
        rows.append(("sheet", f"Go through the sheet: {stage.name}"))
    rows += [("close", "Close the job: what was found"), ("leave", "Save and leave")]
    if stage is not None and desk.reasoner.knowledge.goes_out(stage.id):
        text = f"{text} Its referral pack: diagnose jobs refer JOB."
    if job.awaited is not None:
        text = f"{asleep_words(desk.reasoner.knowledge, job)} {text}"
    return _called(desk, view, "judgement", DECIDE, text, keyed(rows))


def refused(desk: Desk, view: View, text: str) -> Prompt:
    """The call, with the reason why the sheet in hand does not go on."""
    rows = [("close", "Close the job: what was found"), ("leave", "Save and leave")]
    stage = openable(desk.reasoner, view)
    if stage is not None and stage.id == desk.reasoner.knowledge.device.stages.shut:
        rows.insert(0, ("sheet", f"Go through the sheet: {stage.name}"))
    return _called(desk, view, "judgement", DECIDE, text, keyed(rows))


def set_back(desk: Desk, view: View, sheet: Sheet) -> Prompt:
    """The call where something else was found inside, and no look at what lies open is left."""
    rows = [
        ("sheet", f"Go on through the sheet: {sheet.name}"),
        ("close", "Close the job: what was found"),
        ("leave", "Save and leave"),
    ]
    text = "It is not what we expected inside, and no look that is left is worth its minutes. "
    text = f"{text}Call before anything is renewed."
    return _called(desk, view, "judgement", DECIDE, text, keyed(rows))


def told(desk: Desk, job: JobState) -> Prompt:
    """What a customer who declined was told: a refusal without it helps nobody later."""
    return Prompt(
        "text",
        TOLD,
        f"{_agreed(desk, job)} What was the customer told: what may happen, may it be ridden, "
        "when to come back?",
        commands=("skip", "safety", "leave"),
    )


def told_reply(events: Sequence[Event], text: str, time: str, person: str) -> list[Event]:
    """The refusal once more, with what was told.

    Raises
    ------
    InputError : nothing was said.
    """
    words = text.strip()
    last = fold(events).answers[-1]
    if not words:
        raise InputError("nothing was written down.", next_step="Say in a few words what was told.")
    return [last.model_copy(update={"told": words, "time": time, "person": person})]
