"""Prompts of a service sheet: the customer's approval, then one step after the other."""

from __future__ import annotations

from diagnose.conversation.agreements import limit_of
from diagnose.conversation.endings import refused
from diagnose.conversation.guarding import Desk, before, held, what_forbids
from diagnose.conversation.opened import expected, uncovered
from diagnose.conversation.prompts import APPROVAL, OTHER, Prompt, keyed, spoken
from diagnose.conversation.writing import blanks
from diagnose.job.agreement import agreed_words
from diagnose.job.data_sheet import asked, asked_words, values_of
from diagnose.job.gate import reason_words
from diagnose.job.state import JobState
from diagnose.knowledge.device import CAN_CLOSE
from diagnose.knowledge.models import Sheet
from diagnose.reasoning.chosen_sheet import declined, next_step
from diagnose.reasoning.pricing import price_now, too_dear
from diagnose.reasoning.reasoner import View
from diagnose.symptom_graph.routes import step_deed
from diagnose.symptom_graph.variants import said_of, unknown_of, with_or_without

__all__ = ["sheet_step"]


def sheet_step(desk: Desk, job: JobState, view: View, stage: Sheet, person: str) -> Prompt:
    """The next step of the sheet in hand, what the last one uncovered, or what stands before it."""
    found = uncovered(desk, view, stage, person)
    if found is not None:
        return found
    number = next_step(job, stage)
    step, deed = stage.steps[number], step_deed(desk.reasoner.knowledge, stage, number)
    reason = what_forbids(desk, view, deed)
    if reason == "approval" and not declined(desk.reasoner, stage, job):
        return _approval(desk, view, stage)
    if reason:
        what, follow = reason_words(desk.reasoner.knowledge, reason)
        if reason == "not_here":
            lacking = ", ".join(desk.house.lacks(stage.id, job.sheet_values))
            what = f"{what} Lacking: {spoken(lacking)}."
        return refused(desk, view, f"{deed.name}: {what} {follow}")
    waits = held(desk, deed, job, person)
    if waits is not None:
        return waits
    wanted = [_from_sheet(desk, job, name) for name in step.asks_sheet]
    here = job.recorded.get((stage.id, number), {})
    lines = [f"{name}: {text}" for name, text in here.items()]
    blank = blanks(desk, job, stage, number)
    if blank:
        lines.append(f"to be written down: {'; '.join(line.name for line in blank)}")
    done, stop = "Done", "Stop here: close the job"
    if CAN_CLOSE in step.marks:
        done, stop = "Yes, we can close it again today", "No: it is not opened today"
        wanted = [*expected(view, stage), *wanted]
    device, unknown = desk.reasoner.knowledge.device, unknown_of(step, job.shock)
    others = [
        (f"{OTHER}{name}", f"Not this shock: it is {with_or_without(device, name, not wanted)}")
        for name, wanted in unknown.items()
    ]
    return Prompt(
        "question",
        deed.ident,
        f"{deed.name} of {len(stage.steps)}. {said_of(device, step, job.shock)}",
        answers=tuple(keyed([("done", done), ("stop", stop), *others])),
        steps=(*_otherwise(desk, view, stage), *wanted, *lines),
        cautions=before(desk, deed, job, person),
        readings=blank,
        commands=("safety", "leave"),
    )


def _from_sheet(desk: Desk, job: JobState, name: str) -> str:
    """What the data sheet says for a step, or the blank to fill from the shock's own."""
    sheet = desk.reasoner.knowledge.device.sheet
    value = asked(name, values_of(job.shock, job.sheet_values), sheet)
    return f"from the shock's sheet: {asked_words(name, sheet)}: {value or '______'}"


def _otherwise(desk: Desk, view: View, stage: Sheet) -> tuple[str, ...]:
    """Said where what was found since no longer speaks for the sheet in hand."""
    knowledge, plan = desk.reasoner.knowledge, view.decision.plan_sheets
    if stage.id in plan or stage.id == knowledge.device.stages.shut or not view.job.steps:
        return ()
    names = " and ".join(knowledge.sheets[ident].name for ident in plan)
    return (f"What was found speaks for another plan now: {names}. Call before going on.",)


def _approval(desk: Desk, view: View, stage: Sheet) -> Prompt:
    """The customer's word on a stage: asked for the first time, again, or still waited for."""
    job, currency = view.job, desk.reasoner.money.currency
    before = agreed_words(desk.reasoner.knowledge, job, currency)
    price = f"about {price_now(desk.reasoner, view):.0f} {currency}"
    # A sheet that is no longer what is planned has no price of its own.
    planned = stage.id in view.decision.plan_sheets
    limit = limit_of(desk.reasoner, job, stage.id)
    most = f", not above {limit:.0f} without a call" if limit is not None else ""
    work = f"{stage.name}, {price}{most}" if planned else stage.name
    text = f"Has the customer agreed to this: {work}?"
    if too_dear(desk.reasoner, view, stage.id) is not None:
        text = f"{before} It comes to {price} now. Call: agreed to that?"
    elif before:
        text = f"{before} This is: {work}. Call: agreed to that too?"
    later = ("ask_later", "Not reached: it waits for the answer")
    if job.quoted is not None:
        text = f"{text} It waits for the answer, asked {job.quotes}x."
        later = ("leave", "No answer yet: save and leave")
    rows = [("agreed", "Yes, agreed"), ("declined", "No, declined"), later]
    return Prompt(
        "question",
        f"{APPROVAL}{stage.id}",
        text,
        answers=tuple(keyed(rows)),
        why="Nothing is opened that the customer has not agreed to. The same from the command "
        "line: diagnose jobs approve JOB, or decline.",
        commands=("back", "why", "safety", "leave"),
    )
