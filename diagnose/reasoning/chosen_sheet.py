"""Which service sheet is in hand, and which of its steps comes next."""

from __future__ import annotations

from diagnose.job.agreement import word_on
from diagnose.job.state import JobState
from diagnose.knowledge.models import Sheet
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.symptom_graph.variants import steps_of

__all__ = ["declined", "next_step", "openable", "sheet_in_hand"]


def next_step(job: JobState, sheet: Sheet) -> int:
    """Number of the first step that this shock has and that is not done; past the last: none."""
    done = {n for name, n in job.steps if name == sheet.id}
    return next((n for n in steps_of(sheet, job.shock) if n not in done), len(sheet.steps))


def openable(reasoner: Reasoner, view: View) -> Sheet | None:
    """The sheet that comes next: of the plan, or for a shock that is not opened."""
    for ident in view.decision.sheets:
        sheet = reasoner.knowledge.sheets[ident]
        if next_step(view.job, sheet) < len(sheet.steps):
            return sheet
    return None


def declined(reasoner: Reasoner, sheet: Sheet, job: JobState) -> bool:
    """Whether the customer's latest word on a sheet that lets something out is no."""
    word = word_on(reasoner.knowledge, sheet.id, job.answers)
    return reasoner.knowledge.lets_out(sheet) and word is not None and word.declined


def sheet_in_hand(reasoner: Reasoner, job: JobState) -> Sheet | None:
    """The sheet that was begun and is not through, or None.

    A sheet of which a step was done is gone through to its end before anything else is done
    to the shock: what its steps proved of the chambers must still hold at the next one. Only
    the sheet for a shock that is not opened comes before it.
    """
    chosen = job.choices.sheets
    begun = [name for name, _ in reversed(job.steps)]
    shut = reasoner.knowledge.device.stages.shut
    first = [name for name in chosen[-1:] if name == shut]
    for name in (*first, *begun, *reversed(chosen)):
        sheet = reasoner.knowledge.sheets[name]
        if next_step(job, sheet) < len(sheet.steps):
            return sheet
    return None
