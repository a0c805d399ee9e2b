"""The customer's words put to the customer: what was understood, and what else they may mean.

Rules
-----
- Words that were read with doubt are never taken silently: they are asked about, with the readings
  that come next beside them, each under a key.
- Where nothing was understood, the likeliest readings stand before the main complaints.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from diagnose.complaint.recogniser import Heard as Said
from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import MAIN, UNDERSTOOD, Heard, Prompt, keyed
from diagnose.job.events import NOT_SURE, Answered, Event, Struck, Understood, WordsLeft
from diagnose.job.state import fold
from diagnose.reasoning.judgement import CautionLine
from diagnose.reasoning.reasoner import View

__all__ = ["doubtful", "heard_of", "main", "said_so", "understood"]

#: certainty below which the reading of the words is put to the customer
_CONFIRM_BELOW = 0.5

#: readings offered where the words are in doubt, and the certainty that one of them needs
_READINGS, _LEAST = 3, 0.03

_HEARD = 5


def doubtful(view: View) -> bool:
    """Nothing of the customer's words is certain enough, and nothing else is known."""
    said = [item for item in view.items if item.by == "customer"]
    return bool(said) and all(item.words and item.certainty < _CONFIRM_BELOW for item in said)


def heard_of(desk: Desk, view: View) -> Heard:
    """What was understood plainly of the customer's words; 'perhaps' where it may be otherwise."""
    least = desk.reasoner.knowledge.pack.reporters.said_from
    return tuple(
        (
            said.symptom,
            ("perhaps " if said.certainty < _CONFIRM_BELOW else "") + _text(desk, said),
            said.words,
            said.denied,
        )
        for said in view.heard.heard
        if said.certainty >= least
    )


def _text(desk: Desk, said: Said) -> str:
    card = desk.reasoner.knowledge.symptoms[said.symptom]
    return (
        f"{card.name}: {next((a.text for a in card.answers if a.state == said.state), said.state)}"
    )


def _others(desk: Desk, view: View, known: set[str]) -> list[tuple[str, str]]:
    """(state, text) of the likeliest readings besides those that were taken."""
    best = desk.reasoner.recogniser.best(view.job.complaint, _READINGS + len(known))
    fresh = [said for said in best if said.symptom not in known and said.certainty >= _LEAST]
    return [
        (f"{said.symptom}={said.state}", f"{_text(desk, said)} ('{said.words}')")
        for said in fresh[:_READINGS]
    ]


def main(desk: Desk, view: View, first: tuple[CautionLine, ...]) -> Prompt:
    """What the words may mean, and the main complaints, by key, where no word was understood."""
    lines = desk.reasoner.knowledge.pack.main_complaints
    readings = _others(desk, view, set())
    rows = [*readings, *((f"{row.symptom}={row.state}", row.text) for row in lines)]
    near = "They may mean one of the first; which comes" if readings else "Which comes"
    return Prompt(
        "question",
        MAIN,
        f"The words were not understood. {near} nearest to the main complaint?",
        answers=tuple(keyed(rows)),
        first_words=first,
        commands=("not_sure", "back", "safety", "leave"),
    )


def understood(desk: Desk, view: View, first: tuple[CautionLine, ...], heard: Heard) -> Prompt:
    """Whether the words were meant as they were read, or otherwise."""
    rows = [("right", "Yes" if len(heard) == 1 else "Yes, all of it")]
    rows += [(state, f"No, rather {text}") for state, text in _others(
        desk, view, {ident for ident, *_ in heard}
    )]  # fmt: skip
    rows += [(ident, f"Not that: {text} ('{words}')") for ident, text, words, _ in heard[:_HEARD]]
    return Prompt(
        "question",
        UNDERSTOOD,
        f"Does the customer mean: {'; '.join(text for _, text, _, _ in heard)}?",
        answers=tuple(keyed(rows)),
        first_words=first,
        heard=heard,
        why="The words can be read in more than one way.",
        commands=("back", "safety", "book", "leave"),
    )


def said_so(
    desk: Desk, events: Sequence[Event], ident: str, state: str, stamp: dict[str, Any]
) -> list[Event]:
    """Events of an answer to one of these prompts: a reading rejected, another one in its place."""
    if state == NOT_SURE:
        return [WordsLeft(**stamp)]
    if state == "right":
        return [Understood(**stamp)]
    symptom, _, word = state.partition("=")
    if not word:
        return [Struck(ask=symptom, **stamp)]
    chosen = Answered(ask=symptom, state=word, by="customer", **stamp)
    if ident == MAIN:
        return [chosen]
    job = fold(events)
    heard = desk.reasoner.hear(job).heard
    best = desk.reasoner.recogniser.best(job.complaint, _READINGS + len(heard))
    words = next((said.words for said in best if said.symptom == symptom), "")
    # Words cannot mean both: what shares them was not said.
    rejected = [
        Struck(ask=said.symptom, **stamp)
        for said in heard
        if said.symptom != symptom and set(said.words.split()) & set(words.split())
    ]
    # The choice comes last: to take the reply back is to choose again.
    return [*rejected, chosen]
