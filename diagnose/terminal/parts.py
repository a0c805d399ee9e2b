"""The parts that screens are made of: paragraphs, cautions, choices, suspects, boxes, keys."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.cells import Fragment, Line, cells, wrap
from diagnose.reasoning.wording import chance_word, percent
from diagnose.terminal.door import Block
from diagnose.terminal.keys import key_help

if TYPE_CHECKING:
    from diagnose.reasoning.judgement import AnswerLine, CautionLine

__all__ = [
    "Suspect",
    "boxed",
    "caution_blocks",
    "choice_blocks",
    "heading",
    "key_lines",
    "note",
    "suspect_blocks",
    "text_block",
]

#: cells of a bar: a tenth each
_BAR = 10
#: from this width on, bar, number and word stand in columns
_COLUMNS = 60


@dataclass(frozen=True)
class Suspect:
    """One cause as shown. ``before``: its chance before the last answer, None: not shown then."""

    name: str
    chance: float
    before: float | None = None


def text_block(style: str, text: str, width: int, lead: str = "", hang: int | None = None) -> Block:
    """One paragraph."""
    return Block(tuple(wrap([(style, text)], width, lead, hang)))


def heading(text: str, width: int) -> Block:
    """A heading with a blank line before it."""
    return Block(((), *wrap([("heading", text)], width)))


def note(style: str, text: str) -> Callable[[int], list[Block]]:
    """One paragraph as something to say."""
    return lambda width: [text_block(style, text, width)]


def caution_blocks(cautions: Iterable[CautionLine], width: int) -> list[Block]:
    """Each caution; the alert sign only where a person can be hurt (ANSI Z535.6)."""
    blocks = []
    for caution in cautions:
        sign = "" if caution.signal_word == "NOTICE" else "/!\\ "
        words = [(caution.signal_word, f"{sign}{caution.signal_word}:"), ("", f" {caution.said}")]
        blocks.append(Block(tuple(wrap(words, width, hang=2))))
    return blocks


def choice_blocks(answers: Iterable[AnswerLine], width: int) -> list[Block]:
    """One block an answer, its key first."""
    return [
        Block(
            tuple(
                wrap(
                    [("key", f"{answer.key}\N{NO-BREAK SPACE}"), ("answer", answer.text)],
                    width,
                    "  ",
                    hang=5,
                )
            ),
            frozenset({answer.key}),
        )
        for answer in answers
    ]


def suspect_blocks(suspects: Sequence[Suspect], width: int, *, plain: bool) -> list[Block]:
    """Bar, number and word of each suspect, and what the last answer changed."""
    if not suspects:
        return []
    lines: list[Line] = [(), *wrap([("heading", "Suspects")], width)]
    for suspect in suspects:
        share = percent(suspect.chance)
        word = chance_word(suspect.chance)
        change = _change(suspect)
        filled = round(_BAR * suspect.chance)
        bar = "#" * filled + "." * (_BAR - filled)
        if plain:
            lines += wrap([("", f"{suspect.name}: {share}, {word}{change}")], width, "  ")
        elif width >= _COLUMNS:
            lead = f"  {bar} {share:>5} {word:<15} "
            lines += wrap([("", f"{suspect.name}{change}")], width, lead)
        else:
            said = f" {share} {word}: {suspect.name}{change}"
            lines += wrap([("bar", bar), ("", said)], width, hang=2)
    return [Block(tuple(lines))]


def _change(suspect: Suspect) -> str:
    if suspect.before is None or percent(suspect.before) == percent(suspect.chance):
        return ""
    way = "up" if suspect.chance > suspect.before else "down"
    change = f"({way} from {percent(suspect.before)})"
    return " " + change.replace(" ", "\N{NO-BREAK SPACE}")


def boxed(text: str, style: str, width: int) -> list[Line]:
    """Words in a box as wide as they need."""
    inner = wrap([(style, text)], max(width - 4, 2))
    wide = max(sum(cells(part) for _, part in line) for line in inner)
    edge: Line = (("box", "+" + "-" * (wide + 2) + "+"),)
    rows: list[Line] = []
    for line in inner:
        fill = " " * (wide - sum(cells(part) for _, part in line))
        rows.append((("box", "| "), *line, ("box", f"{fill} |")))
    return [edge, *rows, edge]


def key_lines(commands: Sequence[str], width: int, *, digits: bool = True) -> list[Line]:
    """The fixed keys that count here, each beside its word. ``digits``: see `key_help`."""
    words: list[Fragment] = []
    rows = key_help(commands, digits=digits)
    for n, (keys, word) in enumerate(rows, 1):
        # The second space, at the end of a line if it breaks here, sets the next key apart.
        space = "\N{NO-BREAK SPACE}"
        words += [("key", keys), ("keys", f"{space}{word}{space if n < len(rows) else ''} ")]
    return wrap(words, width)
