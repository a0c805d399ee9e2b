"""Results of a check list typed at once: one line for all, or one check after the other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnose.conversation.batch import Result, letter, read_line, read_one
from diagnose.errors import InputError
from diagnose.reasoning.judgement import AnswerLine
from diagnose.terminal.door import Block, Door, Screen
from diagnose.terminal.parts import choice_blocks, text_block

if TYPE_CHECKING:
    from diagnose.conversation.prompts import Prompt

__all__ = ["ask_number", "type_results"]

_LINE = "All results on one line, such as: 1 b, 2 165 psi, 3 ?  Enter alone: one after the other."
_ONE = "A letter, a reading, ? not sure; Enter alone: not done."


def ask_number(door: Door, newest: int) -> int:
    """The number of the list that lies on the bench.

    Raises
    ------
    InputError : not a number that a list of this job can have.
    """

    def ask(width: int) -> list[Block]:
        return [
            text_block("question", "Which number stands at the head of the list?", width),
            text_block("keys", "Enter alone: the list as it would be now.", width),
        ]

    typed = door.line(Screen(ask)).strip()
    if not typed:
        return newest
    if not typed.isdigit() or not 0 < int(typed) <= newest:
        raise InputError(f"there is no list '{typed[:20]}' of this job.", next_step="Print one.")
    return int(typed)


def type_results(door: Door, prompts: Sequence[Prompt]) -> list[Result]:
    """What was typed and confirmed; empty if the person goes back.

    What cannot be read is said and asked again; nothing counts before all of it is right.
    """
    said = ""
    while True:

        def ask(width: int, word: str = said) -> list[Block]:
            rows = [text_block("error", word, width)] if word else []
            rows += [
                text_block("answer", f"{prompt.why}", width, f"{n}  ")
                for n, prompt in enumerate(prompts, 1)
            ]
            return [*rows, text_block("question", _LINE, width)]

        typed = door.line(Screen(ask))
        try:
            results = read_line(typed, prompts) if typed.strip() else _one_by_one(door, prompts)
        except InputError as error:
            said = str(error)
            continue
        if not results:
            return []
        chosen = _confirmed(door, results, prompts)
        if chosen != "again":
            return results if chosen == "right" else []
        said = ""


def _one_by_one(door: Door, prompts: Sequence[Prompt]) -> list[Result]:
    results = []
    for n, prompt in enumerate(prompts, 1):
        result = _one(door, n, prompt)
        if result is not None:
            results.append(result)
    return results


def _one(door: Door, number: int, prompt: Prompt) -> Result | None:
    said = ""
    while True:

        def ask(width: int, word: str = said) -> list[Block]:
            rows = [text_block("error", word, width)] if word else []
            rows.append(text_block("question", f"{number}. {prompt.text}", width))
            rows += [text_block("", f"{r.text} [{r.unit}]", width, "  ") for r in prompt.readings]
            rows += [
                text_block("answer", answer.text, width, f"  {letter(n)}  ")
                for n, answer in enumerate(prompt.answers)
            ]
            return [*rows, text_block("keys", _ONE, width)]

        typed = door.line(Screen(ask)).strip()
        try:
            return read_one(typed or "-", prompt)
        except InputError as error:
            said = str(error)


def _confirmed(door: Door, results: Sequence[Result], prompts: Sequence[Prompt]) -> str:
    rows = [
        AnswerLine(key="1", state="right", text="Right"),
        AnswerLine(key="2", state="again", text="Type them again"),
    ]

    def ask(width: int) -> list[Block]:
        shown = [
            text_block(
                "big", f"{result.prompt.why}: {result.words}?", width,
                f"{list(prompts).index(result.prompt) + 1}  ",
            )
            for result in results
        ]  # fmt: skip
        return [*shown, *choice_blocks(rows, width)]

    press = door.key(Screen(ask, ("1", "2"), ("back",)))
    return {"1": "right", "2": "again"}.get(press.name, "")
