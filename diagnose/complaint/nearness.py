"""Hearing by nearness to the sayings of a card, for what no model was trained on yet.

A new symptom, or the pack of a new device, is heard by its sayings alone until a model is trained:
well enough to try a card, not well enough for customers.

Rules
-----
- A part of a sentence is compared with each saying, word by word; a word counts the more, the fewer
  sayings have it (inverse document frequency, Spärck Jones 1972).
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Collection
from functools import cache

import snowballstemmer

from diagnose.complaint.trained import Said
from diagnose.knowledge.loader import Knowledge

__all__ = ["Nearness"]

_PART = re.compile(r"[.,;:!?\n()]+|\b(?:but|and|also|plus|then|because)\b", re.IGNORECASE)
_WORD = re.compile(r"[^\W_]+(?:['\u2019][^\W_]+)?")
#: likeness from which words may mean a saying, and the most that likeness alone is worth
_ALIKE, _AT_MOST = 0.4, 0.95
#: weight of a word that no saying has, such as a small word
_STRANGE = 0.1


class Nearness:
    """Sayings of some symptoms.

    Parameters
    ----------
    findings : of which no model is there; their symptoms' sayings are all that is known.
    """

    def __init__(self, knowledge: Knowledge, findings: Collection[str]) -> None:
        self._states = {name: knowledge.findings[name].states for name in findings}
        self._sayings = [
            (card.observes, state, frozenset(_words(saying)))
            for card in knowledge.symptoms.values()
            if card.observes in self._states
            for state, sayings in card.phrases.items()
            for saying in sayings
        ]
        met = Counter(word for _, _, words in self._sayings for word in words)
        self._weight = {
            word: math.log(1 + len(self._sayings) / count) for word, count in met.items()
        }

    def of(self, text: str) -> list[Said]:
        """What a text says of each finding; nothing where no saying is near."""
        best: dict[str, tuple[float, str, int, int]] = {}
        for start, end in _parts(text):
            words = frozenset(_words(text[start:end]))
            for finding, state, saying in self._sayings:
                alike = self._alike(words, saying)
                if alike > max(_ALIKE, best.get(finding, (0.0,))[0]):
                    best[finding] = (alike, state, start, end)
        found = []
        for finding, (alike, state, start, end) in best.items():
            chance = _AT_MOST * (alike - _ALIKE) / (1 - _ALIKE)
            chances = tuple(chance * (other == state) for other in self._states[finding])
            found.append(Said(finding, chances, start, end))
        return found

    def _alike(self, words: frozenset[str], saying: frozenset[str]) -> float:
        """Weight of the words in both over the weight of all, 0..1."""
        both = sum(self._weight[word] for word in words & saying)
        every = sum(self._weight.get(word, _STRANGE) for word in words | saying)
        return both / every if every else 0.0


def _parts(text: str) -> list[tuple[int, int]]:
    """Places of the parts of a text that stand between stops and joining words."""
    cuts = [match.span() for match in _PART.finditer(text)]
    starts = [0, *(end for _, end in cuts)]
    ends = [*(start for start, _ in cuts), len(text)]
    found = []
    for start, end in zip(starts, ends, strict=True):
        part = text[start:end]
        if part.strip():
            left = len(part) - len(part.lstrip())
            found.append((start + left, start + len(part.rstrip())))
    return found


@cache
def _stem(word: str) -> str:
    stemmer = snowballstemmer.stemmer("english")
    return str(stemmer.stemWord(word))


def _words(text: str) -> list[str]:
    return [_stem(match[0].lower()) for match in _WORD.finditer(text)]
