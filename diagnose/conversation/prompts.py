"""What a prompt is: one thing to show and wait for, and the ids that are the conversation's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnose.errors import InputError
from diagnose.job.events import NOT_SURE
from diagnose.knowledge.models import NONE
from diagnose.nearest import meant
from diagnose.reasoning.judgement import (
    AnswerLine,
    CautionLine,
    HeardLine,
    Judgement,
    NotHeardLine,
    ReadingLine,
)

__all__ = [
    "APPROVAL",
    "COMMANDS",
    "COMPLAINT",
    "DECIDE",
    "FOUND",
    "INSIDE",
    "LOOK",
    "MAIN",
    "MORE",
    "NONE",
    "NOTHING",
    "OTHER",
    "READY",
    "SIGHT",
    "SUPERVISOR",
    "TOLD",
    "UNDERSTOOD",
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
    "book": "book it in",
    "words": "correct the words",
    "leave": "save and leave",
}

COMPLAINT, MAIN, UNDERSTOOD = "complaint", "main_complaint", "understood"
MORE, SIGHT, LOOK = "anything_else", "first_sight", "five_places"
DECIDE, FOUND, TOLD = "decide", "found", "told"

#: what the ids of prompts about a stage, a check or a step begin with
APPROVAL, READY, SUPERVISOR, INSIDE = "approval:", "ready:", "supervisor:", "inside:"

#: state of the answer that all of the look's places are well
NOTHING = "nothing"


#: what the state begins with by which a step, a question or a check is not for this shock, because
#: the part is not there or is another one; a feature follows
OTHER = "other:"


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
    heard, not_heard : what was made of the customer's words, and what could not be placed.
    readings : of a measuring check; of a step what it asks to be written down before it is ticked.
    default : state, or text, that a reply without words takes; empty: such a reply answers nothing.
    several : the answers may all be so, and one reply takes several; what is not named is not so.
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
    heard: tuple[HeardLine, ...] = ()
    not_heard: tuple[NotHeardLine, ...] = ()
    judgement: Judgement | None = None
    commands: tuple[str, ...] = ()
    minutes: float = 0.0
    data: dict[str, Any] = field(default_factory=dict)
    default: str = ""
    several: bool = False

    @property
    def proposed(self) -> str:
        """The default in words."""
        texts = {answer.state: answer.text for answer in self.answers}
        return texts.get(self.default, self.default)

    def named(self, value: object) -> AnswerLine:
        """The answer that a key, a state or its text names.

        Raises
        ------
        InputError : none of them; says which there are.
        """
        word = str(value).strip()
        for answer in self.answers:
            if word in (answer.key, answer.state) or word.lower() == answer.text.lower():
                return answer
        if word in (NOT_SURE, "0") and "not_sure" in self.commands:
            return AnswerLine(key="0", state=NOT_SURE, text="Not sure")
        texts = {answer.text: answer for answer in self.answers}
        close = meant(word, texts)
        if close:
            return texts[close]
        choices = "; ".join(f"{a.key} {a.text}" for a in self.answers)
        raise InputError(
            f"'{word[:40]}' is not one of the answers.",
            where=self.id,
            next_step=f"Choose: {choices}.",
        )


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
