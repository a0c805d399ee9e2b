"""What a prompt is: one thing to show and wait for, and the ids that are the conversation's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnose.reasoning.judgement import AnswerLine, CautionLine, Judgement, ReadingLine

__all__ = [
    "APPROVAL",
    "COMMANDS",
    "COMPLAINT",
    "DECIDE",
    "FOUND",
    "LOOK",
    "MAIN",
    "NOTHING",
    "READY",
    "SUPERVISOR",
    "TOLD",
    "UNDERSTOOD",
    "Heard",
    "Prompt",
    "keyed",
    "spoken",
]

#: words of the fixed commands, in the order in which they are shown
COMMANDS: dict[str, str] = {
    "not_sure": "not sure",
    "back": "back",
    "why": "why this",
    "skip": "skip",
    "safety": "safety",
    "book": "book inspection",
    "words": "correct the words",
    "leave": "save and leave",
}

COMPLAINT, MAIN, UNDERSTOOD, LOOK = "complaint", "main_complaint", "understood", "five_places"
DECIDE, FOUND, TOLD = "decide", "found", "told"

#: what the ids of prompts about a stage, a check or a step begin with
APPROVAL, READY, SUPERVISOR = "approval:", "ready:", "supervisor:"

#: state of the answer that all of the look's places are well
NOTHING = "nothing"

#: what was understood: (symptom id, its text, words, denied) each
Heard = tuple[tuple[str, str, str, bool], ...]


@dataclass(frozen=True)
class Prompt:
    """One thing to show and wait for.

    Attributes
    ----------
    kind : question | readings | text | caution | judgement | done.
    id : symptom or check id, or one of the conversation's own.
    cautions : shown before the text, whole the first time in a visit; ``acknowledge``: this prompt
    waits for just that.
    first_words : cautions to say at once, before anything else.
    heard : (symptom id, its text, words, denied) of what was understood.
    """

    kind: str
    id: str
    text: str
    answers: tuple[AnswerLine, ...] = ()
    readings: tuple[ReadingLine, ...] = ()
    steps: tuple[str, ...] = ()
    cautions: tuple[CautionLine, ...] = ()
    first_words: tuple[CautionLine, ...] = ()
    acknowledge: tuple[str, ...] = ()
    why: str = ""
    heard: Heard = ()
    judgement: Judgement | None = None
    commands: tuple[str, ...] = ()
    minutes: float = 0.0
    data: dict[str, Any] = field(default_factory=dict)


def keyed(rows: Sequence[tuple[str, str]]) -> list[AnswerLine]:
    """Answers from (state, text), under the keys 1, 2, 3."""
    return [
        AnswerLine(key=str(n), state=state, text=text) for n, (state, text) in enumerate(rows, 1)
    ]


def spoken(ident: str) -> str:
    """An id as words.

    >>> spoken("air_can")
    'air can'
    """
    return ident.replace("_", " ")
