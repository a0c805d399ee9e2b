"""A text as the pieces of words that the trained encoder knows, each with its place in the text.

Rules
-----
- Lower case, accents off; a word is cut into the longest pieces of the vocabulary from the left, so
  that a misspelt or unknown word still says something.
- Nothing is rewritten: a piece is a slice of the text.

Source: word pieces, Wu et al. 2016, *Google's neural machine translation system*.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import NamedTuple

__all__ = ["Piece", "Pieces"]

_WORD = re.compile(r"[^\W_]+|[^\w\s]|_")


class Piece(NamedTuple):
    """Place in the text, and number in the vocabulary."""

    start: int
    end: int
    number: int


class Pieces:
    """Cuts texts by one vocabulary; a piece inside a word begins with ``##``.

    >>> pieces = Pieces(["[UNK]", "top", "##s", "out"])
    >>> [piece.number for piece in pieces.of("Tops  out")]
    [1, 2, 3]
    """

    def __init__(self, vocabulary: Sequence[str]) -> None:
        self.numbers = {piece: number for number, piece in enumerate(vocabulary)}

    def of(self, text: str) -> list[Piece]:
        """All pieces of a text, in order."""
        plain = "".join(map(_plain, text))
        found: list[Piece] = []
        for match in _WORD.finditer(plain):
            found += self._word(match[0], match.start())
        return found

    def _word(self, word: str, place: int) -> list[Piece]:
        found: list[Piece] = []
        start = 0
        while start < len(word):
            for end in range(len(word), start, -1):
                piece = word[start:end] if not start else "##" + word[start:end]
                if piece in self.numbers:
                    break
            else:
                return [Piece(place, place + len(word), self.numbers["[UNK]"])]
            found.append(Piece(place + start, place + end, self.numbers[piece]))
            start = end
        return found


def _plain(sign: str) -> str:
    """One sign for one, in lower case and without accent."""
    bare = unicodedata.normalize("NFD", sign)[0].lower()
    return bare if len(bare) == 1 else sign
