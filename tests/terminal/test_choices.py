"""Answers as they are offered: under digits, the wish for readings first."""

from __future__ import annotations

from diagnose.conversation.prompts import Prompt
from diagnose.conversation.second_reading import READ_LATER
from diagnose.reasoning.judgement import AnswerLine, ReadingLine
from diagnose.terminal.choices import answers_of

GAUGE = ReadingLine(name="before", text="gauge", unit="psi")


def test_to_read_later_is_no_state_judged_by_eye() -> None:
    answers = (
        AnswerLine(key="1", state="none", text="Nothing"),
        AnswerLine(key="2", state=READ_LATER, text="Read it later"),
    )
    prompt = Prompt("readings", "bench_gauge", "What is lost?", answers, readings=(GAUGE,))
    offered = [(answer.key, answer.text) for answer in answers_of(prompt, "")]
    assert offered == [
        ("1", "Type the readings"),
        ("2", "Read it later"),
        ("3", "Not measured, judged: Nothing"),
    ]
