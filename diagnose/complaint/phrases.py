"""All phrases of the cards as one matrix, and how well each stretch of a text matches each.

Rules
-----
- A phrase is a bag of keys (meaning, stem, pair of neighbours), each weighed by how few symptoms
  share it. A key that every symptom shares weighs nothing.
- Matching is blind to denial: whether the text denies what the phrase says is looked at afterwards,
  on the words that matched.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagnose.complaint.english import DULL
from diagnose.complaint.reading import Reader, Word
from diagnose.complaint.word_model import WordModel
from diagnose.knowledge.loader import Knowledge

__all__ = ["BESIDE", "Phrase", "PhraseBook", "keys_of", "pairs_of"]

Matrix = NDArray[np.float32]

#: stands for the symptom where what is said is no complaint
BESIDE = ""

# Shares of a word's weight: what it means, and the very word that was used.
_MEANING, _STEM = 0.8, 0.2
# Two neighbours in the same order count this share of their mean weight on top.
_PAIR = 0.35
# Everyday words weigh this share of what their rarity among the cards would give them.
_DULL = 0.5
# Each saying counts two: a key of one saying is trusted by half.
_CHANCE = 2.0
# A word that is in no phrase still says that the text is about something else.
_STRANGE = 1.2


class Phrase(NamedTuple):
    """One saying of a card: for each word with meaning what it means and whether it is denied.

    A plain tuple, since many thousands of them are read from the cache at every start.
    """

    symptom: str
    state: str
    healthy: bool
    text: str
    meanings: tuple[str, ...]
    denied: tuple[bool, ...]
    numbers: tuple[float, ...]


def keys_of(word: Word) -> list[tuple[str, float]]:
    """Keys of a word with their share of its weight."""
    if not word.stems or word.stems == (word.meaning,):
        return [(word.meaning, 1.0)]
    return [(word.meaning, _MEANING)] + [(s, _STEM / len(word.stems)) for s in word.stems]


def pairs_of(words: Sequence[Word]) -> list[str]:
    """Keys of neighbours that stand in one sentence, for each word but the last."""
    return [f"{a.meaning} {b.meaning}" for a, b in pairwise(words)]


class PhraseBook:
    """The phrases of a pack, ready for matching."""

    def __init__(self, knowledge: Knowledge, reader: Reader) -> None:
        self.phrases: list[Phrase] = []
        self.symptoms = [*knowledge.symptoms, BESIDE]
        places = {ident: place for place, ident in enumerate(self.symptoms)}
        bags: list[list[Word]] = []
        said: list[list[Word]] = []
        for card in knowledge.symptoms.values():
            told = [card.name, card.question, *(a.text for a in card.answers)]
            bags.append([w for text in told for w in reader.learn(text) if w.meaning])
            healthy = knowledge.findings[card.observes].states[0]
            for state, sayings in card.phrases.items():
                for saying in sayings:
                    words = [w for w in reader.learn(saying) if w.meaning]
                    if words:
                        said.append(words)
                        self.phrases.append(
                            _phrase(card.id, state, state == healthy, saying, words)
                        )
        for saying in knowledge.lexicon.beside:
            words = [w for w in reader.learn(saying) if w.meaning]
            if words:
                said.append(words)
                self.phrases.append(_phrase(BESIDE, "", False, saying, words))
        bags.append([])
        reader.close()
        tellings = [(p.symptom, p.state) for p in self.phrases]
        # phrases of one state of one symptom stand together
        self.groups = [
            place
            for place, telling in enumerate(tellings)
            if not place or telling != tellings[place - 1]
        ]
        self._health: dict[tuple[str, bool], list[int]] = {}
        for phrase in self.phrases:
            if phrase.symptom == BESIDE:
                continue
            for word in set(zip(phrase.meanings, phrase.denied, strict=True)):
                self._health.setdefault(word, [0, 0])[phrase.healthy] += 1
        self.symptom_of = np.array([places[p.symptom] for p in self.phrases], dtype=np.intp)
        self._weigh(reader, said, bags)

    def _weigh(self, reader: Reader, said: list[list[Word]], bags: list[list[Word]]) -> None:
        used: dict[str, dict[int, int]] = {}
        told = [*zip(said, self.symptom_of.tolist(), itertools.repeat(2))]
        told += [(words, symptom, 1) for symptom, words in enumerate(bags)]
        for words, symptom, worth in told:
            for word in words:
                for key, _ in keys_of(word):
                    by_symptom = used.get(key)
                    if by_symptom is None:
                        by_symptom = used[key] = {}
                    by_symptom[symptom] = by_symptom.get(symptom, 0) + worth
        count = len(self.symptoms)
        dull = reader.stems(DULL)
        self._weight = {
            key: math.log(1 + count / (0.5 + _spread(by_symptom.values())))
            * (_DULL if key in dull else 1.0)
            * _met(sum(by_symptom.values()))
            for key, by_symptom in used.items()
        }
        self.model = WordModel(said, self.symptom_of.tolist(), count)
        self._post(said)

    def _post(self, said: list[list[Word]]) -> None:
        """Each key's phrases and what it brings to them, in one long row of keys."""
        posted: dict[str, dict[int, float]] = {}
        totals = [0.0] * len(said)
        for place, words in enumerate(said):
            weights = [self.weight(word) for word in words]
            for word, weight in zip(words, weights, strict=True):
                totals[place] += weight
                for key, share in keys_of(word):
                    row = posted.setdefault(key, {})
                    row[place] = row.get(place, 0.0) + weight * share
            for pair, first, second in zip(pairs_of(words), weights, weights[1:], strict=False):
                gain = _PAIR * (first + second) / 2
                posted.setdefault(pair, {})[place] = gain
                totals[place] += gain
        self.totals: Matrix = np.array(totals, dtype=np.float32)
        lengths = [len(row) for row in posted.values()]
        self._place = {key: place for place, key in enumerate(posted)}
        self._ends = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int32)
        self._columns = np.fromiter(
            (place for row in posted.values() for place in row), np.int32, sum(lengths)
        )
        self._gains: Matrix = np.fromiter(
            (gain for row in posted.values() for gain in row.values()), np.float32, sum(lengths)
        )

    def weight(self, word: Word) -> float:
        """How much a word tells: 0 for what all symptoms share, log(1 + symptoms / 1.5) at most."""
        return self._weight.get(word.meaning, _STRANGE)

    def health(self, meaning: str, denied: bool) -> float:
        """Share of the sayings with a word that tell of health, shrunk towards one in three."""
        sick, healthy = self._health.get((meaning, denied), (0, 0))
        return (healthy + 2 / 3) / (healthy + sick + 2)

    def key_weight(self, key: str) -> float:
        """Weight of a key, 0 where no phrase has it."""
        return self._weight.get(key, 0.0)

    def postings(self, key: str) -> tuple[NDArray[np.int32], Matrix]:
        """Places of the phrases with a key, and the weight that it brings to each."""
        place = self._place.get(key)
        if place is None:
            return self._columns[:0], self._gains[:0]
        where = slice(int(self._ends[place]), int(self._ends[place + 1]))
        return self._columns[where], self._gains[where]


def _phrase(symptom: str, state: str, healthy: bool, text: str, words: list[Word]) -> Phrase:
    return Phrase(
        symptom,
        state,
        healthy,
        text,
        tuple(w.meaning for w in words),
        tuple(w.denied for w in words),
        tuple(w.number for w in words if w.number is not None),
    )


def _met(total: int) -> float:
    """How far a key is trusted: one that stands in a single saying may stand there by chance."""
    return total / (total + _CHANCE)


def _spread(counts: Iterable[int]) -> float:
    """Effective number of symptoms: exp of the entropy of a key's use."""
    values = list(counts)
    total = sum(values)
    return math.exp(-sum(n / total * math.log(n / total) for n in values))
