"""What the customer agreed to, what was declined, and what has to be asked again.

Rules
-----
- The latest word that speaks of a stage or small job counts: agreement to a stage that contains it,
  or a refusal of just this one or of everything. A refusal of something larger takes nothing back.
- A refusal is not whole before it is written down what the customer was told.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.job.events import Approved
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge

__all__ = ["agreed_words", "untold", "word_on"]


def word_on(knowledge: Knowledge, sheet: str, answers: Iterable[Approved]) -> Approved | None:
    """The latest answer that speaks of a stage or small job, or None if none does."""
    word = None
    for answer in answers:
        if answer.declined:
            speaks = not answer.stages or sheet in answer.stages
        else:
            speaks = sheet in _inside(knowledge, answer.stages)
        word = answer if speaks else word
    return word


def _inside(knowledge: Knowledge, sheets: Iterable[str]) -> set[str]:
    """The stages and small jobs and everything that they contain, a stage its small jobs, too."""
    inside: set[str] = set()
    todo = [s for s in sheets if s in knowledge.sheets]
    while todo:
        inside.add(todo[-1])
        todo += [s for s in knowledge.sheets[todo.pop()].includes if s not in inside]
    return inside | {job.id for job in knowledge.small_jobs.values() if job.stage in inside}


def untold(job: JobState) -> bool:
    """A refusal stands without what the customer was told."""
    last = job.answers[-1] if job.answers else None
    return last is not None and last.declined and not last.told and not job.choices.note_left


def agreed_words(knowledge: Knowledge, job: JobState, currency: str) -> str:
    """What has been agreed to and declined so far, in a sentence or two; empty if nothing was."""
    said = []
    for ident, card in knowledge.sheets.items():
        word = word_on(knowledge, ident, job.answers)
        if word is None or (ident not in word.stages and word.stages):
            continue
        if word.declined and word.stages:
            said.append(f"declined: {card.name}")
        elif not word.declined:
            limit = "" if word.up_to is None else f", up to {word.up_to:.0f} {currency}"
            said.append(f"agreed to: {card.name}{limit}")
    if not said and job.approved is not None and job.approved.declined:
        return "The customer declined everything."
    return f"The customer {'; '.join(said)}." if said else ""
