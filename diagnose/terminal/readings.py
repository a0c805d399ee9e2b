"""Readings typed as a form: one number, one Enter, and what is wrong is said at its own line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.cells import cells, wrap
from diagnose.errors import InputError
from diagnose.terminal.door import Block, Door, Screen
from diagnose.terminal.keys import read, yes_no
from diagnose.terminal.parts import choice_blocks, key_lines, text_block

if TYPE_CHECKING:
    from diagnose.bench.formula import Result
    from diagnose.reasoning.judgement import ReadingLine

__all__ = ["OTHERS", "Form", "result_blocks", "right_tag", "type_readings"]

#: reading name and what was typed -> with its unit, and the question to put about it
Take = Callable[[str, str], tuple[str, str]]

#: the sign for the answers that need no reading
OTHERS = "e"

#: rows of a picture, and the narrowest and widest that it is drawn [columns]
_ROWS, _NARROW, _WIDE = 8, 30, 64


def right_tag(door: Door, digits: str) -> bool:
    """Ask for the last two digits of the tag on the shock in hand; whether they are these."""

    def ask(width: int) -> list[Block]:
        words = "Another job was in hand since. Last two digits on the tag of this shock?"
        return [text_block("question", words, width)]

    return door.line(Screen(ask)).strip() == digits


@dataclass(frozen=True)
class Form:
    """What was done at a form: ``values`` by reading name, all typed; else a ``command``, or
    ``OTHERS``: the answers that need no reading.
    """

    values: Mapping[str, str] | None = None
    command: str = ""


def type_readings(
    door: Door,
    wanted: Sequence[ReadingLine],
    take: Take,
    *,
    kept: dict[str, str],
    head: Callable[[int], list[Block]] | None = None,
    commands: Sequence[str] = (),
    others: str = "",
    later: Callable[[], None] | None = None,
) -> Form:
    """One number, one Enter: every value is judged as it is typed, by itself.

    Parameters
    ----------
    take : a name and what was typed -> with its unit, and a question if it is hardly believable.
    kept : values so far; what was typed stays in it, whatever comes, and Enter takes it again.
    head : what stands above the first one. commands : that a sign alone on the line means here.
    others : words for the answers that need no reading. later : as of a screen.
    """
    here = (*commands, *(name for name in ("back", "skip") if name not in commands))
    place, said = 0, ""
    answered: dict[str, str] = {}
    while place < len(wanted):
        reading = wanted[place]
        draw = _drawn(wanted, place, answered, kept, said, head, here, others)
        typed = door.line(Screen(draw, later=later)).strip()
        # Said once: where it is higher than the screen it stands above for good.
        said, head, later = "", None, None
        command = _command(typed, here, others)
        if command == "back" and place:
            place -= 1
            answered.pop(wanted[place].name, None)
        elif command == "skip" and (place or reading.optional):
            said = "" if reading.optional else "This one is needed."
            place += reading.optional
        elif command:
            return Form(command=command)
        elif not typed and reading.name not in kept:
            said = "" if reading.optional else "Type the number, then Enter."
            place += reading.optional
        else:
            try:
                value, question = take(reading.name, typed or kept[reading.name])
            except InputError as error:
                said = f"{error.what} {error.next_step}".strip()
                continue
            if not question or _meant(door, question):
                answered[reading.name] = kept[reading.name] = value
                place += 1
    return Form(values=answered)


def _command(typed: str, commands: Sequence[str], others: str) -> str:
    """The command that a sign alone on the line is; a digit is a reading."""
    if len(typed) != 1 or typed.isdigit():
        return ""
    if others and typed.lower() == OTHERS:
        return OTHERS
    press = read(typed, (), commands)
    return press.name if press.kind == "command" else ""


def _drawn(
    wanted: Sequence[ReadingLine],
    place: int,
    answered: Mapping[str, str],
    kept: Mapping[str, str],
    said: str,
    head: Callable[[int], list[Block]] | None,
    commands: Sequence[str],
    others: str,
) -> Callable[[int], list[Block]]:
    reading = wanted[place]
    unit = f" [{reading.unit}]" if reading.unit else ""
    held = kept.get(reading.name, "")
    hints = [f"usual: {reading.usual}"] if reading.usual else []
    if held or reading.optional:
        hints.append(f"Enter: {held or 'leave it out'}")

    def draw(width: int) -> list[Block]:
        blocks = head(width) if head is not None else []
        blocks += [
            text_block("chosen", f"{line.text}: {answered.get(line.name, 'left out')}", width)
            for line in wanted[:place]
        ]
        blocks += [text_block("error", said, width)] if said else []
        blocks.append(text_block("question", f"{reading.text}{unit}", width))
        blocks += [text_block("note", f"{'. '.join(hints)}.", width)] if hints else []
        blocks += [text_block("keys", f"{OTHERS}  {others}", width)] if others and not place else []
        return [*blocks, Block(tuple(key_lines(commands, width, digits=False)))]

    return draw


def _meant(door: Door, question: str) -> bool:
    """Whether a hardly believable value is what stands there."""
    from diagnose.reasoning.judgement import AnswerLine

    rows = [
        AnswerLine(key="1", state="yes", text="Yes, it stands there so"),
        AnswerLine(key="2", state="no", text="No, type it again"),
    ]

    def ask(width: int) -> list[Block]:
        return [text_block("question", question, width), *choice_blocks(rows, width)]

    letters = yes_no({row.key: row.text for row in rows})
    return door.key(Screen(ask, ("1", "2"), ("back",), letters=letters)).name == "1"


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
