"""Towards which state the words of a clause lean, once the symptom is known.

Rules
-----
- A word leans to the states in whose sayings it stands; a denied word is another word.
- A word that the symptom's own sayings do not know leans as it does over all cards, and then only
  for or against health ('dry', 'fine', 'freely').
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.complaint.phrases import BESIDE, PhraseBook
from diagnose.complaint.reading import Word

__all__ = ["Leaning"]

# Sayings that a word must be met in before its own use counts as much as the general one.
_FAITH = 1.0


class Leaning:
    """Counts of words by state, of all phrases of a book."""

    def __init__(self, book: PhraseBook, states: dict[str, list[str]]) -> None:
        self._book = book
        self._states = states
        # symptom -> word, said or denied -> sayings with it by state; plain lists, as they are
        # read from the cache at every start
        self._own: dict[str, tuple[dict[str, list[int]], dict[str, list[int]]]] = {
            symptom: ({}, {}) for symptom in states
        }
        for phrase in book.phrases:
            if phrase.symptom == BESIDE:
                continue
            names = states[phrase.symptom]
            for meaning, denied in set(zip(phrase.meanings, phrase.denied, strict=True)):
                own = self._own[phrase.symptom][denied].setdefault(meaning, [0] * len(names))
                own[names.index(phrase.state)] += 1

    def of(self, symptom: str, words: Sequence[Word]) -> dict[str, float]:
        """Pull of the words to each state, -1..1, sums to about 0; 0 where they say nothing."""
        states = self._states[symptom]
        even = 1 / len(states)
        pull = dict.fromkeys(states, 0.0)
        total = 0.0
        for word in words:
            weight = self._book.weight(word) + 0.2
            total += weight
            share = self._book.health(word.meaning, word.denied)
            own = self._own[symptom][word.denied].get(word.meaning, [0] * len(states))
            met = sum(own) + _FAITH
            for state, count in zip(states, own, strict=True):
                general = share if state == states[0] else (1 - share) / (len(states) - 1)
                pull[state] += weight * ((count + _FAITH * general) / met - even)
        return {state: value / (total or 1.0) for state, value in pull.items()}
