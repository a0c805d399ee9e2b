"""Readings typed one a line, echoed big, and taken only after a key confirms them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnose.terminal.door import Block, Door, Screen
from diagnose.terminal.parts import choice_blocks, text_block
from diagnose.terminal.screens import echo_blocks

if TYPE_CHECKING:
    from diagnose.session.judgement import ReadingLine

__all__ = ["type_readings", "with_unit"]


def with_unit(typed: str, unit: str) -> str:
    """A typed value with the unit that was asked for, unless it names one.

    >>> with_unit("165", "psi"), with_unit("11.4 bar", "psi"), with_unit("-3,5", "mm")
    ('165 psi', '11.4 bar', '-3,5 mm')
    """
    text = " ".join(typed.split())
    named = any(sign.isalpha() or sign in "%°" for sign in text)
    return text if named else f"{text} {unit}".strip()


def type_readings(
    door: Door, wanted: Sequence[ReadingLine], *, plain: bool
) -> dict[str, str] | None:
    """Values by reading name; None: the person goes back to the question."""
    values: dict[str, str] = {}
    for reading in wanted:
        value = _one(door, reading, plain=plain)
        if value is None:
            return None
        if value:
            values[reading.name] = value
    return values


def _one(door: Door, reading: ReadingLine, *, plain: bool) -> str | None:
    """A confirmed value; empty: left out; None: back."""
    from diagnose.session.judgement import AnswerLine

    unit = f" [{reading.unit}]" if reading.unit else ""
    empty = "leaves it out" if reading.optional else "goes back to the question"
    asked = f"{reading.text}{unit}"
    rows = [
        AnswerLine(key="1", state="right", text="Right"),
        AnswerLine(key="2", state="again", text="Type it again"),
    ]

    def ask(width: int) -> list[Block]:
        return [
            text_block("question", asked, width),
            text_block("keys", f"The value, then Enter; Enter alone {empty}.", width),
        ]

    while True:
        typed = door.line(Screen(ask))
        if not typed:
            return "" if reading.optional else None
        value = with_unit(typed, reading.unit)

        def echo(width: int, shown: str = value) -> list[Block]:
            blocks = echo_blocks(reading.text, shown, width, plain=plain)
            return [*blocks, *choice_blocks(rows, width)]

        if door.key(Screen(echo, ("1", "2"))).name == "1":
            return value
