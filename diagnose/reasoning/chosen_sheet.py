"""Which service sheet is in hand, and which of its steps comes next."""

from __future__ import annotations

from diagnose.job.agreement import word_on
from diagnose.job.state import JobState
from diagnose.knowledge.models import Stage
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.symptom_graph.variants import steps_of

__all__ = ["declined", "next_step", "openable", "stage_in_hand"]


def next_step(job: JobState, stage: Stage) -> int:
    """Number of the first step that this shock has and that is not done; past the last: none."""
    done = {n for name, n in job.steps if name == stage.id}
    return next((n for n in steps_of(stage, job.shock) if n not in done), len(stage.steps))


def openable(reasoner: Reasoner, view: View) -> Stage | None:
    """The sheet that comes next: of the plan, or for a shock that is not opened."""
    for ident in view.decision.stages:
        stage = reasoner.knowledge.stages[ident]
        if next_step(view.job, stage) < len(stage.steps):
            return stage
    return None


def declined(reasoner: Reasoner, stage: Stage, job: JobState) -> bool:
    """Whether the customer's latest word on a stage that opens something is no."""
    word = word_on(reasoner.knowledge, stage.id, job.answers)
    return bool(stage.opens) and word is not None and word.declined


def stage_in_hand(reasoner: Reasoner, job: JobState) -> Stage | None:
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
        stage = reasoner.knowledge.stages[name]
        if next_step(job, stage) < len(stage.steps):
            return stage
    return None
