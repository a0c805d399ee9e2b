"""Prompts of a service sheet: the customer's approval, then one step after the other."""

from __future__ import annotations

from diagnose.knowledge.models import Stage
from diagnose.session.endings import refused
from diagnose.session.gate import REASONS, clearance
from diagnose.session.guarding import Desk, held, what_forbids
from diagnose.session.in_hand import declined, next_step
from diagnose.session.judgement import AnswerLine, caution_lines
from diagnose.session.prompts import APPROVAL, Prompt, spoken
from diagnose.session.reasoner import View
from diagnose.session.state import JobState
from diagnose.symptom_graph.routes import CAN_CLOSE, step_deed

__all__ = ["sheet_step"]


def sheet_step(desk: Desk, job: JobState, view: View, stage: Stage, person: str) -> Prompt:
    """The next step of the sheet in hand, or what stands before it."""
    number = next_step(job, stage)
    step, deed = stage.steps[number], step_deed(stage, number)
    reason = what_forbids(desk, view, deed)
    if reason == "approval" and not declined(stage, job):
        return _approval(stage)
    if reason:
        what, follow = REASONS[reason]
        return refused(desk, view, f"{deed.name}: {what} {follow}")
    waits = held(desk, deed, job, person)
    if waits is not None:
        return waits
    wanted = [f"from the shock's sheet: {spoken(name)}: ______" for name in step.asks_sheet]
    blanks = [f"write down: {name}: ______" for name in step.records]
    done, stop = "Done", "Stop here: close the job"
    if CAN_CLOSE in step.marks:
        done, stop = "Yes, we can close it again today", "No: it is not opened today"
    clear = clearance(desk.reasoner.knowledge, deed, job, person, desk.roles)
    return Prompt(
        "question",
        deed.ident,
        f"{deed.name} of {len(stage.steps)}. {step.do}",
        answers=(
            AnswerLine(key="1", state="done", text=done),
            AnswerLine(key="2", state="stop", text=stop),
        ),
        steps=(*wanted, *blanks),
        cautions=tuple(caution_lines(clear.cautions)),
        commands=("safety", "leave"),
    )


def _approval(stage: Stage) -> Prompt:
    return Prompt(
        "question",
        f"{APPROVAL}{stage.id}",
        f"Has the customer agreed to this: {stage.name}?",
        answers=(
            AnswerLine(key="1", state="agreed", text="Yes, agreed"),
            AnswerLine(key="2", state="declined", text="No, declined"),
        ),
        why="Nothing is opened that the customer has not agreed to.",
        commands=("back", "why", "safety", "leave"),
    )
