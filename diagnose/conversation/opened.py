"""What a step of a sheet uncovered: is it what the plan expects, and what is only seen there.

Rules
-----
- What would be seen inside if the plan is right is said before anything is opened, and asked about
  at the first step that uncovers it; who cannot say yet is asked again where more is seen.
- Something else inside sets the sheet back: the questions go on, as far as they fit what lies
  open, until somebody chooses to go on with the sheet.
- A look that only makes sense there (`Step.asks`) is an ordinary report of the bench.
"""

from __future__ import annotations

from typing import Any

from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import INSIDE, Prompt, keyed
from diagnose.conversation.questions import ask
from diagnose.job.events import Compared, Event
from diagnose.knowledge.models import Sheet
from diagnose.reasoning.options import makes_sense
from diagnose.reasoning.reasoner import View
from diagnose.reasoning.said_stages import expected_inside, looks_inside

__all__ = ["compared", "expected", "uncovered"]


def expected(view: View, sheet: Sheet) -> tuple[str, ...]:
    """Said before anything is opened: what is seen inside, if the plan is right."""
    return tuple(
        f"Expected inside, if it is {text}" for text in expected_inside(view.decision, sheet.id)
    )


def uncovered(desk: Desk, view: View, sheet: Sheet, person: str) -> Prompt | None:
    """What is asked for once the latest step is done, or None."""
    done = [number for name, number in view.job.steps if name == sheet.id]
    if not done:
        return None
    number, knowledge = max(done), desk.reasoner.knowledge
    causes = _to_compare(view, sheet, number)
    if causes:
        return Prompt(
            "question",
            f"{INSIDE}{sheet.id}:{number}",
            "Open now. Is it what we expected?",
            answers=tuple(keyed([("yes", "Yes, so it looks"), ("no", "No, something else")])),
            steps=tuple(f"Expected, if it is {text}" for text in looks_inside(knowledge, causes)),
            why="A wrong call is caught here, before anything is renewed.",
            commands=("not_sure", "back", "why", "safety", "leave"),
        )
    for check in (knowledge.checks[ident] for ident in sheet.steps[number].asks):
        if makes_sense(desk.reasoner.compiled, check, view.job, view.belief.items):
            return ask(desk, view, check.id, person)
    return None


def compared(view: View, ident: str, state: Any, stamp: dict[str, Any]) -> list[Event]:
    """Events of the answer whether it is what was expected."""
    name, _, number = ident.removeprefix(INSIDE).partition(":")
    sheet = view.belief.prepared.knowledge.sheets[name]
    causes = _to_compare(view, sheet, int(number))
    return [Compared(stage=name, number=int(number), causes=causes, state=state, **stamp)]


def _to_compare(view: View, sheet: Sheet, number: int) -> list[str]:
    """Causes that this step shows and the plan rests on, if nobody has told yet."""
    chamber = sheet.steps[number].uncovers
    causes = view.decision.inside(sheet.id, chamber) if chamber else []
    told = {
        cause
        for row in view.job.compared
        if row.state == "yes" or (row.stage, row.number) == (sheet.id, number)
        for cause in row.causes
    }
    return [] if told.intersection(causes[:1]) else causes
