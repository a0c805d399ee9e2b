"""Answers as they are offered: every one under a digit, however many there are."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from diagnose.terminal.keys import acknowledge_key

if TYPE_CHECKING:
    from diagnose.conversation.prompts import Prompt
    from diagnose.reasoning.judgement import AnswerLine

__all__ = ["DONE", "MORE", "TYPE", "answers_of", "marked", "offered"]

#: states of the answers that show the others, and open the line for readings or words
MORE, TYPE = "more_answers", "type_readings"

#: state by which a step of a sheet is ticked
DONE = "done"

#: one key an answer
_MOST = 9


def offered(answers: Sequence[AnswerLine], sheet: int = 0) -> tuple[AnswerLine, ...]:
    """Answers with keys 1-9; where there are more, eight of them and 9 for the others.

    Parameters
    ----------
    sheet : which eight, counted on from 0; it wraps round.
    """
    keys = [answer.key for answer in answers]
    if all(key in "123456789" and len(key) == 1 for key in keys) and len(set(keys)) == len(keys):
        return tuple(answers)
    if len(answers) <= _MOST:
        return _keyed(answers)
    from diagnose.reasoning.judgement import AnswerLine

    size = _MOST - 1
    start = size * (sheet % -(-len(answers) // size))
    more = AnswerLine(key=str(_MOST), state=MORE, text="None of these: show the others")
    return (*_keyed(answers[start : start + size]), more)


def _keyed(answers: Sequence[AnswerLine]) -> tuple[AnswerLine, ...]:
    return tuple(answer.model_copy(update={"key": str(n)}) for n, answer in enumerate(answers, 1))


def marked(answers: Sequence[AnswerLine], marks: Collection[str]) -> tuple[AnswerLine, ...]:
    """Answers of which several may be chosen, each chosen one with a mark; 'none' now goes on."""
    from diagnose.conversation.prompts import NONE

    def said(answer: AnswerLine) -> AnswerLine:
        text = f"[x] {answer.text}" if answer.key in marks else answer.text
        text = "That is all" if marks and answer.state == NONE else text
        return answer.model_copy(update={"text": text})

    return tuple(map(said, answers))


def answers_of(prompt: Prompt, last_key: str, sheet: int = 0) -> tuple[AnswerLine, ...]:
    """What a prompt offers on a screen; a caution's key differs from the last one pressed."""
    from diagnose.conversation.second_reading import names_no_state
    from diagnose.reasoning.judgement import AnswerLine

    if prompt.kind == "caution":
        key = acknowledge_key(last_key)
        return tuple(answer.model_copy(update={"key": key}) for answer in prompt.answers)
    if prompt.kind == "text":
        return (AnswerLine(key="1", state=TYPE, text="Type it"),)
    if prompt.kind != "readings":
        return offered(prompt.answers, sheet)
    first = AnswerLine(key="1", state=TYPE, text="Type the readings")
    # Answers that name no state of what is read stand before those that do.
    own = [a.model_copy(update={"key": ""}) for a in prompt.answers if names_no_state(a.state)]
    by_eye = [
        answer.model_copy(update={"key": "", "text": f"Not measured, judged: {answer.text}"})
        for answer in prompt.answers
        if not names_no_state(answer.state)
    ]
    return offered([first, *own, *by_eye], sheet)
