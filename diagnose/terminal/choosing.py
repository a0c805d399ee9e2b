"""Small questions of the screen's own: the menu, one of several, something to read.

None of them changes a job; what was chosen goes back to the loop.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.reasoning.judgement import AnswerLine
from diagnose.terminal.choices import MORE, offered
from diagnose.terminal.door import Block, Door, Screen
from diagnose.terminal.keys import spelled_keys
from diagnose.terminal.parts import choice_blocks, text_block

__all__ = ["COMMAND_NAMES", "MENU_KEYS", "choose", "menu", "read_on"]

#: words of the menu and of the transcript
COMMAND_NAMES: dict[str, str] = {
    "book": "Book it in",
    "words": "Correct what was understood",
    "leave": "Save and leave",
    "not_sure": "Not sure",
    "skip": "Skip this",
    "back": "Take the last answer back",
    "why": "Why this is asked",
    "safety": "All cautions",
}

#: what the menu holds -> its digit, which it keeps whatever else is there
MENU_KEYS: dict[str, str] = {
    "job sheet": "1",
    "check list": "2",
    "results": "3",
    "again": "4",
    "book": "5",
    "words": "6",
    "leave": "7",
}
_BACK = ("back",)


def choose(door: Door, title: str, rows: Sequence[AnswerLine], foot: str = "") -> str:
    """State of one of these answers, empty if the person goes back."""
    sheet = 0
    while True:
        answers = offered(rows, sheet)

        def draw(width: int, shown: Sequence[AnswerLine] = answers) -> list[Block]:
            blocks = [text_block("question", title, width), *choice_blocks(shown, width)]
            return [*blocks, text_block("note", foot, width)] if foot else blocks

        press = door.key(Screen(draw, tuple(a.key for a in answers), _BACK))
        if press.kind == "command":
            return ""
        state = next(a.state for a in answers if a.key == press.name)
        if state != MORE:
            return state
        sheet += 1


def menu(door: Door, commands: Sequence[str], more: Mapping[str, str]) -> str:
    """One act by digit, always the same one: what has no sign on the numpad. The others are named
    below, with their signs.

    Parameters
    ----------
    more : name -> words of what is there besides; of `MENU_KEYS`.
    """
    named = {**more, **{n: words for n, words in COMMAND_NAMES.items() if n in commands}}
    rows = [
        AnswerLine(key=key, state=name, text=named[name])
        for name, key in MENU_KEYS.items()
        if name in named
    ]
    return choose(door, "What now?", rows, spelled_keys(commands))


def read_on(door: Door, draw: Callable[[int], list[Block]]) -> None:
    """Something to read; any command or the answer goes back to the question."""
    back = [AnswerLine(key="5", state="back", text="Go on")]
    door.key(Screen(lambda width: [*draw(width), *choice_blocks(back, width)], ("5",), _BACK))
