"""Answers as they are offered: every one under a digit, however many there are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.session.judgement import AnswerLine

__all__ = ["MORE", "offered"]

#: state of the answer that shows the others
MORE = "more_answers"

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
    from diagnose.session.judgement import AnswerLine

    size = _MOST - 1
    start = size * (sheet % -(-len(answers) // size))
    more = AnswerLine(key=str(_MOST), state=MORE, text="None of these: show the others")
    return (*_keyed(answers[start : start + size]), more)


def _keyed(answers: Sequence[AnswerLine]) -> tuple[AnswerLine, ...]:
    return tuple(answer.model_copy(update={"key": str(n)}) for n, answer in enumerate(answers, 1))
