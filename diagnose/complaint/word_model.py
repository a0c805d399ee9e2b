"""Which symptom a stretch of words speaks of, by all sayings of all cards together.

A saying is met by its own words; a customer seldom uses just those. What the sayings of a symptom
have in common, down to pieces of words, tells of it where no single saying fits.

Source: multinomial naive Bayes, McCallum & Nigam 1998, *A comparison of event models for naive
Bayes text classification*; features scaled to length 1 as Rennie et al. 2003, *Tackling the poor
assumptions of naive Bayes text classifiers*.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from diagnose.complaint.reading import Word

__all__ = ["WordModel"]

Matrix = NDArray[np.float32]

# How much each kind of feature counts: a meaning or stem, its denial, two neighbours, a piece.
_KEY, _DENIED, _PAIR, _PIECE = 1.0, 1.0, 0.7, 0.3
_PIECE_LENGTH = 4
# Added to each count: small, since few words are met often.
_SMOOTH = 0.05


class WordModel:
    """Chances of each symptom given words.

    Parameters
    ----------
    sayings : words with meaning of each saying. symptom_of : (sayings,) its symptom, from 0.
    count : number of symptoms.
    """

    def __init__(
        self, sayings: Sequence[Sequence[Word]], symptom_of: Iterable[int], count: int
    ) -> None:
        self._rows: dict[str, int] = {}
        known: dict[tuple[str, str, bool], dict[str, float]] = {}
        rows: list[int] = []
        columns: list[int] = []
        values: list[float] = []
        for words, symptom in zip(sayings, symptom_of, strict=True):
            bag: dict[str, float] = {}
            for word in words:
                look = (word.plain, word.meaning, word.denied)
                features = known.get(look)
                if features is None:
                    features = known[look] = dict(_of_word(word))
                for key, value in features.items():
                    bag[key] = bag.get(key, 0.0) + value
            for first, second in pairwise(words):
                bag[_pair(first, second)] = bag.get(_pair(first, second), 0.0) + _PAIR
            length = sum(x * x for x in bag.values()) ** 0.5
            rows += [self._rows.setdefault(key, len(self._rows)) for key in bag]
            columns += [symptom] * len(bag)
            values += [value / length for value in bag.values()]
        table = np.full((len(self._rows), count), _SMOOTH, dtype=np.float32)
        np.add.at(table, (rows, columns), values)
        # Half the precision is a quarter of the digits that a chance here could claim.
        self._table = np.log(table / table.sum(axis=0)).astype(np.float16)

    def log_chances(self, words: Sequence[Word], windows: Sequence[range]) -> Matrix:
        """(windows, symptoms) log of the chance of each symptom given the words of each window."""
        single = [self._sum(_of_word(word)) for word in words]
        paired = [self._sum([(_pair(a, b), _PAIR)]) for a, b in pairwise(words)]
        sums, squares = _running(single)
        pair_sums, pair_squares = _running(paired)
        logs = np.empty((len(windows), self._table.shape[1]), dtype=np.float32)
        for row, window in enumerate(windows):
            start, stop = window.start, window.stop
            inner = max(start, stop - 1)
            total = sums[stop] - sums[start] + pair_sums[inner] - pair_sums[start]
            square = squares[stop] - squares[start] + pair_squares[inner] - pair_squares[start]
            logs[row] = total / max(float(square), 1e-6) ** 0.5
        logs -= logs.max(axis=1, keepdims=True)
        result: Matrix = logs - np.log(np.exp(logs).sum(axis=1, keepdims=True))
        return result

    def _sum(self, features: Iterable[tuple[str, float]]) -> tuple[Matrix, float]:
        total = np.zeros(self._table.shape[1], dtype=np.float32)
        square = 0.0
        for key, value in features:
            row = self._rows.get(key)
            if row is not None:
                total += value * self._table[row].astype(np.float32)
            if row is not None or value == _KEY:
                # a word that no saying has speaks for none, and makes the others say less
                square += value * value
        return total, square


def _of_word(word: Word) -> Iterator[tuple[str, float]]:
    """Features of a word by itself."""
    keys = {word.meaning, *word.stems}
    for key in sorted(keys):
        yield key, _KEY
    if word.denied:
        yield f"not {word.meaning}", _DENIED
    spelled = f" {word.plain} "
    for start in range(len(spelled) - _PIECE_LENGTH + 1):
        yield f"~{spelled[start : start + _PIECE_LENGTH]}", _PIECE


def _pair(first: Word, second: Word) -> str:
    return f"{first.meaning} {second.meaning}"


def _running(parts: list[tuple[Matrix, float]]) -> tuple[list[Matrix], list[float]]:
    """Sums from the start up to each place."""
    sums: list[Matrix] = [np.float32(0.0)]  # type: ignore[list-item]
    squares = [0.0]
    for total, square in parts:
        sums.append(sums[-1] + total)
        squares.append(squares[-1] + square)
    return sums, squares
