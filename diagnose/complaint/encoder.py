"""The trained encoder: pieces of words become vectors that know their neighbours.

Rules
-----
- Only arithmetic: no random number, no training; the weights come from one file.
- Weights are kept as whole numbers with a scale a row and spread out once, when they are first
  wanted; word vectors are spread out as they are looked up.

Source: bidirectional encoder of Devlin et al. 2019; its weights began as the public sentence
encoder MiniLM-L6 (Wang et al. 2020, Apache-2.0) and were fitted further (tests/hearing/train.py).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

__all__ = ["Encoder", "unpacked"]

Floats32 = npt.NDArray[np.float32]

#: vectors are cut into so many heads of attention
_HEADS = 12
#: keeps the spread of a constant vector from dividing by nothing
_TINY = np.float32(1e-12)


def unpacked(stored: Mapping[str, npt.NDArray[np.generic]], name: str) -> Floats32:
    """A matrix as numbers: whole numbers times the scale of their row, or as it was stored."""
    values: Floats32 = stored[name].astype(np.float32)
    if f"{name}.scale" in stored:
        values *= stored[f"{name}.scale"].astype(np.float32)[:, None]
    return values


class Encoder:
    """Reads one text at a time.

    Parameters
    ----------
    stored : arrays by name, as tests/hearing/train.py writes them. layers : how many.
    """

    def __init__(self, stored: Mapping[str, npt.NDArray[np.generic]], layers: int) -> None:
        self._words = stored["word"]
        self._word_scale = stored["word.scale"].astype(np.float32)
        self._places = unpacked(stored, "pos")
        self._norm = (unpacked(stored, "ln.weight"), unpacked(stored, "ln.bias"))
        self._layers = [
            {
                name: (unpacked(stored, f"{n}.{name}.weight"), unpacked(stored, f"{n}.{name}.bias"))
                for name in ("q", "k", "v", "o", "i", "d", "ln1", "ln2")
            }
            for n in range(layers)
        ]

    @property
    def longest(self) -> int:
        """Pieces that a text may have at the most."""
        return len(self._places)

    def of(self, numbers: list[int]) -> Floats32:
        """(pieces, size) vectors of one text."""
        words = self._words[numbers].astype(np.float32) * self._word_scale[numbers][:, None]
        x = _normed(words + self._places[: len(numbers)], self._norm)
        for layer in self._layers:
            x = _normed(x + _mapped(_attended(x, layer), layer["o"]), layer["ln1"])
            x = _normed(x + _mapped(_bent(_mapped(x, layer["i"])), layer["d"]), layer["ln2"])
        return x


_Pair = tuple[Floats32, Floats32]


def _mapped(x: Floats32, pair: _Pair) -> Floats32:
    mapped: Floats32 = x @ pair[0].T + pair[1]
    return mapped


def _normed(x: Floats32, pair: _Pair) -> Floats32:
    x = x - x.mean(axis=-1, keepdims=True)
    spread = np.sqrt((x * x).mean(axis=-1, keepdims=True) + _TINY)
    normed: Floats32 = x / spread * pair[0] + pair[1]
    return normed


def _attended(x: Floats32, layer: dict[str, _Pair]) -> Floats32:
    """What each piece takes from the others."""
    count, size = x.shape
    each = size // _HEADS
    q, k, v = (
        _mapped(x, layer[name]).reshape(count, _HEADS, each).transpose(1, 0, 2) for name in "qkv"
    )
    score = q @ k.transpose(0, 2, 1) * np.float32(1 / math.sqrt(each))
    score = np.exp(score - score.max(axis=-1, keepdims=True))
    score /= score.sum(axis=-1, keepdims=True)
    taken: Floats32 = (score @ v).transpose(1, 0, 2).reshape(count, size)
    return taken


def _bent(x: Floats32) -> Floats32:
    """x times the normal distribution up to x (Hendrycks & Gimpel 2016).

    The error function by Abramowitz & Stegun 1964, 7.1.26, within 1.5e-7.
    """
    z = np.abs(x) * np.float32(math.sqrt(0.5))
    t = 1 / (1 + np.float32(0.3275911) * z)
    tail: Floats32 = np.full_like(t, 1.061405429)
    for term in (-1.453152027, 1.421413741, -0.284496736, 0.254829592):
        tail = np.add(tail * t, term, dtype=np.float32)
    tail = (np.float32(0.5) * tail * t * np.exp(-z * z)).astype(np.float32)
    bent: Floats32 = x * np.where(x < 0, tail, 1 - tail).astype(np.float32)
    return bent
