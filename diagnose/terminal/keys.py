"""Keys: digits answer, one letter or numpad sign each for the fixed commands, and the guard.

Rules
-----
- The numpad alone suffices: 1-9 answers, 0 . + - * the commands in daily use, / the menu with the
  rest, Enter the next page. Enter answers only where it is said what it takes, at the end of a job.
- y and n mean yes and no, wherever an answer begins with that word, and nothing anywhere else.
- Keys that were typed ahead, or bounced, are dropped for a moment after a question appears.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

__all__ = [
    "LETTERS",
    "MENU",
    "NUMPAD",
    "PAGE",
    "Guard",
    "Press",
    "acknowledge_key",
    "key_help",
    "read",
    "spelled_keys",
    "yes_no",
]

#: command -> letter
LETTERS: dict[str, str] = {
    "not_sure": "u",
    "back": "b",
    "why": "h",
    "skip": "s",
    "safety": "c",
    "book": "i",
    "words": "w",
    "leave": "q",
}

MENU = "menu"
PAGE = "page"

#: command -> sign on the numpad
NUMPAD: dict[str, str] = {
    "not_sure": "0",
    "back": ".",
    "why": "+",
    "skip": "-",
    "safety": "*",
    MENU: "/",
}

#: words in the line of keys
_SHORT: dict[str, str] = {
    "not_sure": "unsure",
    "back": "back",
    "why": "why",
    "skip": "skip",
    "safety": "safety",
    "book": "book",
    "words": "words",
    "leave": "leave",
    MENU: "menu",
}

#: for so many times the guard's seconds an Enter still follows an answer that was taken at once
_ENTER_FOLLOWS = 6

# A keyboard with a decimal comma sends that instead of the point.
_ALSO = {",": "."}


@dataclass(frozen=True)
class Press:
    """What a key means here: an answer's key, a command, a page, or nothing."""

    kind: Literal["answer", "command", "page", "unknown"]
    name: str


def yes_no(texts: Mapping[str, str]) -> dict[str, str]:
    """Letter -> key of the one answer that begins with yes, or with no; ``texts`` by key.

    >>> yes_no({"1": "No", "2": "Yes, a little", "3": "Yes, much"})
    {'n': '1'}
    """
    found = {}
    for word in ("yes", "no"):
        keys = [key for key, text in texts.items() if re.match(rf"{word}\b", text.lower())]
        if len(keys) == 1:
            found[word[0]] = keys[0]
    return found


def read(
    key: str,
    answers: Iterable[str],
    commands: Sequence[str],
    *,
    several: bool = False,
    letters: Mapping[str, str] = MappingProxyType({}),
) -> Press:
    """What a key means where these answers and commands are offered.

    ``several``: or several keys; ``letters``: that mean the key of an answer.

    >>> read("2", ["1", "2"], ["not_sure"])
    Press(kind='answer', name='2')
    >>> read("0", ["1", "2"], ["not_sure"])
    Press(kind='command', name='not_sure')
    >>> read("1 2", ["1", "2"], ["not_sure"], several=True)
    Press(kind='answer', name='12')
    """
    if key in ("\r", "\n", "enter"):
        return Press("page", PAGE)
    sign = _ALSO.get(key, key.lower())
    sign = letters.get(sign, sign)
    keys = set(answers)
    if sign in keys:
        return Press("answer", sign)
    together = sign.replace(",", " ").split() if " " in sign or "," in sign else [*sign]
    if several and together and keys.issuperset(together):
        return Press("answer", "".join(dict.fromkeys(together)))
    for command in commands:
        if sign in (LETTERS.get(command), NUMPAD.get(command), command):
            return Press("command", command)
    return Press("unknown", key)


def key_help(commands: Sequence[str], *, digits: bool = True) -> list[tuple[str, str]]:
    """(keys, word) of each command offered, in the fixed order; ``digits``: where one is a key.

    >>> key_help(["menu", "back", "leave"])
    [('b.', 'back'), ('q', 'leave'), ('/', 'menu')]
    """
    return [
        (LETTERS.get(command, "") + (sign if digits or not sign.isdigit() else ""), word)
        for command, word in _SHORT.items()
        for sign in (NUMPAD.get(command, ""),)
        if command in commands
    ]


def spelled_keys(commands: Sequence[str]) -> str:
    """The key line in words, for whoever reads it the first time.

    >>> spelled_keys(["back", "leave"])
    'Keys everywhere: b or . back, q leave. Enter turns the page.'
    """
    rows = [f"{' or '.join(keys)} {word}" for keys, word in key_help(commands)]
    return f"Keys everywhere: {', '.join(rows)}. Enter turns the page."


def acknowledge_key(last: str) -> str:
    """The key that acknowledges a caution: never the one that was pressed last."""
    return "8" if last == "7" else "7"


class Guard:
    """Drops keys for a moment after a question appears.

    Parameters
    ----------
    seconds : how long. now : a clock that only goes forward [s].
    """

    def __init__(self, seconds: float, now: Callable[[], float]) -> None:
        self.seconds = seconds
        self._now = now
        self._since = now()
        self._enter_from = self._since

    def begin(self) -> None:
        """A question has just appeared."""
        self._since = self._now()

    def taken_at_once(self) -> None:
        """An answer was taken where others wait for Enter: one that follows belongs to it."""
        self._enter_from = self._now() + _ENTER_FOLLOWS * self.seconds

    def admits(self, key: str = "") -> bool:
        """Whether a key pressed now was meant for this question."""
        now = self._now()
        if key == "enter" and now < self._enter_from:
            return False
        return now - self._since >= self.seconds
