"""Words broken into lines of any width; nothing is ever cut.

Rules
-----
- Text is a list of fragments (style class, words); a line is one too, at most `width` cells wide.
- Width is counted in cells: East Asian wide signs and emoji take two, combining signs none. The
  sum over the signs is taken, never less than what a terminal draws.
- A word wider than the line goes on in the next one. Only a sign wider than the line stands out.
- Control characters, signs of private use, and those that turn the direction of writing become a
  visible mark: words that a customer typed or pasted can neither move the cursor nor hide others.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence

__all__ = ["Fragment", "Line", "cells", "clean", "plain_text", "wrap"]

Fragment = tuple[str, str]
Line = tuple[Fragment, ...]

_MARK = "\N{REPLACEMENT CHARACTER}"
_NO_BREAK = "\N{NO-BREAK SPACE}"
#: format characters that only join signs or hint at breaks, and so are harmless
_JOINERS = "\u200c\u200d\u00ad\u2060"


def clean(text: str, kept: str = "") -> str:
    """Text with harmless signs only; any white space becomes a space.

    Parameters
    ----------
    kept : white space that stays as it is, where text has lines of its own.

    >>> clean("oil\\tand \\x1b[2Jair")
    'oil and �[2Jair'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(sign if sign in kept else _harmless(sign) for sign in text)


def _harmless(sign: str) -> str:
    if sign == _NO_BREAK or sign in _JOINERS:
        return sign
    if sign.isspace():
        return " "
    return _MARK if unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Co", "Zl", "Zp") else sign


def cells(text: str) -> int:
    """Cells that a cleaned text takes on a terminal.

    >>> cells("oil"), cells("油"), cells("e\\u0301")
    (3, 2, 1)
    """
    if text.isascii():
        return len(text)
    # Most texts are plain ASCII, and the table of widths costs more than the first prompt may.
    from wcwidth import wcwidth

    return sum(max(wcwidth(sign), 0) for sign in text)


def plain_text(lines: Iterable[Line]) -> str:
    """The words of lines without their styles."""
    return "\n".join("".join(text for _, text in line).rstrip() for line in lines)


def wrap(
    fragments: Sequence[Fragment], width: int, lead: str = "", hang: int | None = None
) -> list[Line]:
    """Lines of at most `width` cells (2 at least).

    Parameters
    ----------
    lead : stands before the first line, in the first fragment's style.
    hang : cells before every later line; None: as far as `lead`, where that leaves half the line.
    """
    width = max(width, 2)
    margin = cells(lead) if hang is None else hang
    margin = margin if 2 * margin <= width else 0
    first = fragments[0][0] if fragments else ""
    lines: list[list[Fragment]] = [[(first, lead)] if lead else []]
    room = width - cells(lead)
    fresh = True

    def new_line() -> None:
        nonlocal room, fresh
        lines.append([("", " " * margin)] if margin else [])
        room, fresh = width - margin, True

    for word in _words(fragments):
        wide = sum(cells(text) for _, text in word)
        gap = 0 if fresh else 1
        if gap + wide > room and not fresh:
            new_line()
            gap = 0
        if gap:
            same = lines[-1][-1][0] == word[0][0]
            lines[-1].append((word[0][0] if same else "", " "))
        room -= gap
        for style, text in word:
            for piece in _pieces(text, room, width - margin):
                if cells(piece) > room and (lines[-1] or room < width):
                    new_line()
                lines[-1].append((style, piece))
                room -= cells(piece)
        fresh = False
    return [_merged(line) for line in lines]


def _words(fragments: Sequence[Fragment]) -> list[list[Fragment]]:
    """Words, each a list of fragments: a change of style does not end a word."""
    words: list[list[Fragment]] = []
    inside = False
    for style, raw in fragments:
        text = clean(raw)
        for n, part in enumerate(text.split(" ")):
            if n:
                inside = False
            if not part:
                continue
            if inside:
                words[-1].append((style, part))
            else:
                words.append([(style, part)])
            inside = True
    return words


def _pieces(text: str, room: int, whole: int) -> list[str]:
    """A word in pieces: the first fits the room, the others a whole line."""
    if cells(text) <= room:
        return [text]
    pieces = [""]
    left = room
    for sign in text:
        size = cells(sign)
        if size > left:
            pieces.append("")
            left = whole
        pieces[-1] += sign
        left -= size
    return [piece for piece in pieces if piece]


def _merged(line: Sequence[Fragment]) -> Line:
    merged: list[Fragment] = []
    for style, text in line:
        if merged and merged[-1][0] == style:
            merged[-1] = (style, merged[-1][1] + text)
        else:
            merged.append((style, text))
    return tuple(merged)
