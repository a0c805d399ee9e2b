"""Slips of the finger: a word that nobody knows becomes the known word that was meant.

Rules
-----
- A word that is known (to the pack or to everyday English) is never touched, however near another
  lies.
- A slip keeps the first letter or swaps it with the second; short words allow fewer slips.
"""

from __future__ import annotations

from collections.abc import Iterable

from rapidfuzz import process
from rapidfuzz.distance import OSA

__all__ = ["Speller"]

_SHORTEST = 4
_LONG = 8
# Words of a text that are looked up at most: a page of nonsense must not cost seconds.
_MOST = 400


class Speller:
    """Corrects words against a vocabulary.

    Parameters
    ----------
    vocabulary : words as they may be typed, with how often each is used (the more usual one wins
        between two at the same distance).
    """

    def __init__(self, vocabulary: dict[str, int], known: Iterable[str] = ()) -> None:
        self._known = frozenset(vocabulary) | frozenset(known)
        self._used = vocabulary
        self._by_letter: dict[str, list[str]] = {}
        for word in sorted(vocabulary):
            if len(word) >= _SHORTEST and word.isalpha():
                self._by_letter.setdefault(word[0], []).append(word)
        self._memory: dict[str, str | None] = {}

    def correct(self, word: str) -> str | None:
        """The word that was meant, or None where the word is known or nothing lies near.

        >>> Speller({"clunk": 3, "creak": 1}).correct("cluhnk")
        'clunk'
        """
        if word in self._known or len(word) < _SHORTEST or not (word.isascii() and word.isalpha()):
            return None
        if word not in self._memory:
            if len(self._memory) >= _MOST:
                return None
            self._memory[word] = self._nearest(word)
        return self._memory[word]

    def forget(self) -> None:
        """Start the count of looked-up words anew, for the next text."""
        if len(self._memory) >= _MOST // 2:
            self._memory.clear()

    def _nearest(self, word: str) -> str | None:
        most = 1 if len(word) < _LONG else 2
        letters = dict.fromkeys(word[:2])
        found: list[tuple[int, int, str]] = []
        for letter in letters:
            for match, distance, _ in process.extract(
                word,
                self._by_letter.get(letter, ()),
                scorer=OSA.distance,
                score_cutoff=most,
                limit=5,
            ):
                swapped = match[0] == word[1] and match[1:2] == word[0]
                if match[0] == word[0] or swapped:
                    found.append((int(distance), -self._used[match], match))
        return min(found)[2] if found else None
