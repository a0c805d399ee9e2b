"""Readings typed one a line, echoed big, and taken only after a key confirms them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnose.cells import cells, wrap
from diagnose.job.measuring import with_unit
from diagnose.terminal.door import Block, Door, Screen
from diagnose.terminal.parts import choice_blocks, text_block
from diagnose.terminal.screens import echo_blocks

if TYPE_CHECKING:
    from diagnose.bench.formula import Result
    from diagnose.reasoning.judgement import ReadingLine

__all__ = ["result_blocks", "right_tag", "type_readings"]

#: rows of a picture, and the narrowest and widest that it is drawn [columns]
_ROWS, _NARROW, _WIDE = 8, 30, 64


def right_tag(door: Door, digits: str) -> bool:
    """Ask for the last two digits of the tag on the shock in hand; whether they are these."""

    def ask(width: int) -> list[Block]:
        words = "Another job was in hand since. Last two digits on the tag of this shock?"
        return [text_block("question", words, width)]

    return door.line(Screen(ask)).strip() == digits


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
    from diagnose.reasoning.judgement import AnswerLine

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


def result_blocks(result: Result, width: int, *, plain: bool) -> list[Block]:
    """What readings come to: lines to repeat to a customer, what was taken for granted, a picture.

    Narrower than a picture can be, the lines stand alone.
    """
    blocks = [text_block("chosen", line, width, "  ") for line in result.lines]
    blocks += [
        text_block("note", text, width, "  ") for text in (*result.notes, *result.assumptions)
    ]
    if result.picture is not None and width >= _NARROW:
        from diagnose.pictures.text import chart_text

        drawn = chart_text(result.picture, min(width, _WIDE), _ROWS, plain=plain)
        for line in drawn.splitlines():
            # The plot fits; its title and key are as long as their words.
            rows = [(("", line),)] if cells(line) <= width else wrap([("", line)], width)
            blocks.append(Block(tuple(rows)))
    return blocks
