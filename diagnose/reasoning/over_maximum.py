"""What the customer says of a marked maximum in numbers: the numbers decide, not the words."""

from __future__ import annotations

from dataclasses import replace

from diagnose.complaint.limits import against_limit
from diagnose.complaint.recogniser import Heard, Understanding
from diagnose.knowledge.loader import Knowledge

__all__ = ["with_maximum"]


def with_maximum(knowledge: Knowledge, heard: Understanding, text: str) -> Understanding:
    """The reading of a text with its two numbers taken in.

    Above the maximum it is heard as that; at or below it, the words that sounded so are taken for
    the state before it.
    """
    over, lexicon = knowledge.pack.over_maximum, knowledge.lexicon
    named = against_limit(text, lexicon.limit_words, lexicon.not_set) if over else None
    if over is None or named is None:
        return heard
    symptom = next((s.id for s in knowledge.symptoms.values() if s.observes == over.finding), "")
    states = knowledge.findings[over.finding].states
    below = states[states.index(over.state) - 1]
    told = [
        replace(said, state=below, shares=()) if said.symptom == symptom else said
        for said in heard.heard
        if not (named.over and said.symptom == symptom)
    ]
    if named.over and symptom:
        certainty = knowledge.pack.reporters.in_numbers
        start, end = named.start, named.end
        told.append(Heard(symptom, over.state, certainty, text[start:end], start=start, end=end))
    return replace(heard, heard=tuple(told))
