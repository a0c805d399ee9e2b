"""One screen of what was heard: the hand at the counter corrects it, a key a reading.

Rules
-----
- A reading's key strikes it out; the same key brings it back. What stands there as a question is
  meant once its key is pressed.
- The surest stand first, each with the customer's own words. Enter goes on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from diagnose.conversation.understanding import MEANT, STRUCK
from diagnose.reasoning.judgement import AnswerLine
from diagnose.terminal.choosing import choose
from diagnose.terminal.door import Block, Door, Screen
from diagnose.terminal.parts import choice_blocks, note, text_block

if TYPE_CHECKING:
    from diagnose.knowledge.models import Symptom
    from diagnose.reasoning.judgement import HeardLine
    from diagnose.reasoning.reasoner import Reasoner

__all__ = ["HeardScreen", "Wish", "heard_words"]

#: readings on one sheet: the last key of the seven shows the others where there are more
_MOST = 7
_OTHERS, _STATE, _ADD, _GO_ON = "7", "8", "9", "0"

_TITLE = "What was understood. A key strikes a line out; the same key brings it back."
_NOTHING = "Nothing was understood so far."
_HELP = "Its name, or more of the customer's words, then Enter. Tab completes; empty goes back."


@dataclass(frozen=True)
class Wish:
    """What the hand wants: ``corrections`` by symptom id, or ``words`` to be heard besides.

    ``told``: the correction in words, where the screen does not show it anyway.
    """

    corrections: dict[str, str] = field(default_factory=dict)
    words: str = ""
    told: str = ""


def heard_words(line: HeardLine) -> str:
    """A reading in words: what counts, what is only asked, what was not meant.

    >>> from diagnose.reasoning.judgement import HeardLine
    >>> line = HeardLine(id="c", state="yes", probability=0.4, words="eek", start=0, end=3,
    ...                  denied=False, text="creaks: Yes", standing="asked")
    >>> heard_words(line)
    "perhaps creaks: Yes? ('eek')"
    """
    said = f"('{line.words}'{', denied' if line.denied else ''})"
    if line.standing == "asked":
        return f"perhaps {line.text}? {said}"
    return f"{line.text} {said}" if line.holds else f"not meant: {line.text} {said}"


class HeardScreen:
    """The screen of one correction, which may take several keys."""

    def __init__(self, door: Door, reasoner: Reasoner) -> None:
        self._door = door
        self._reasoner = reasoner
        self._sheet = 0

    def ask(self, lines: Sequence[HeardLine]) -> Wish | None:
        """What to correct next, or None to go on."""
        while True:
            rows, shown = self._rows(lines)
            title = _TITLE if lines else _NOTHING

            def draw(
                width: int, rows: Sequence[AnswerLine] = rows, title: str = title
            ) -> list[Block]:
                return [text_block("question", title, width), *choice_blocks(rows, width)]

            press = self._door.key(
                Screen(draw, tuple(row.key for row in rows), ("back",), enter=_GO_ON)
            )
            if press.kind == "command" or press.name == _GO_ON:
                return None
            wish: Wish | None
            if press.name == _STATE:
                wish = self._other_state(lines)
            elif press.name == _ADD:
                wish = self._added()
            elif press.name not in shown:
                self._sheet += 1
                continue
            else:
                line = shown[press.name]
                wish = Wish({line.id: STRUCK if line.holds else MEANT})
            if wish is not None:
                return wish

    def _rows(self, lines: Sequence[HeardLine]) -> tuple[list[AnswerLine], dict[str, HeardLine]]:
        """Everything under a key, and the readings among it by theirs."""
        part = lines
        if len(lines) > _MOST:
            size = _MOST - 1
            start = size * (self._sheet % -(-len(lines) // size))
            part = lines[start : start + size]
        shown = {str(key): line for key, line in enumerate(part, 1)}
        rows = [(key, heard_words(line)) for key, line in shown.items()]
        rows += [(_OTHERS, "Show the others")] if len(lines) > _MOST else []
        rows += [(_STATE, "Say another state of one")] if lines else []
        rows += [(_ADD, "Add one by its name, or in more words"), (_GO_ON, "Go on (Enter)")]
        return [AnswerLine(key=key, state="", text=text) for key, text in rows], shown

    def _other_state(self, lines: Sequence[HeardLine]) -> Wish | None:
        if len(lines) == 1:
            return self._state_of(self._reasoner.knowledge.symptoms[lines[0].id])
        rows = [AnswerLine(key="", state=line.id, text=heard_words(line)) for line in lines]
        ident = choose(self._door, "Which one?", rows)
        return self._state_of(self._reasoner.knowledge.symptoms[ident]) if ident else None

    def _state_of(self, card: Symptom) -> Wish | None:
        states = [AnswerLine(key="", state=a.state, text=a.text) for a in card.answers]
        state = choose(self._door, f"What does the customer say of: {card.name}?", states)
        if not state:
            return None
        text = next(row.text for row in states if row.state == state)
        return Wish({card.id: state}, told=f"{card.name}: {text}")

    def _added(self) -> Wish | None:
        self._door.complete = self._reasoner.recogniser.complete
        typed = self._door.line(Screen(note("question", _HELP))).strip()
        self._door.complete = lambda typed: ()
        if not typed:
            return None
        named = [
            card
            for card in self._reasoner.knowledge.symptoms.values()
            if card.name.lower() == typed.lower()
        ]
        return self._state_of(named[0]) if named else Wish(words=typed, told=typed)
