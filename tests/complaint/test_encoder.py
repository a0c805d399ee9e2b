"""The encoder against the same arithmetic written out piece by piece in double precision."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from diagnose.complaint.encoder import Encoder, _bent, unpacked
from tests.complaint.small_model import small_arrays

Array = npt.NDArray[Any]
HEADS = 12


def plain(stored: dict[str, Array], name: str) -> Array:
    """A matrix in double precision."""
    values = stored[name].astype(float)
    if f"{name}.scale" in stored:
        values = values * stored[f"{name}.scale"].astype(float)[:, None]
    return values


def reference(stored: dict[str, Array], numbers: list[int], layers: int) -> Array:
    """Devlin et al. 2019, one piece and one head after the other."""

    def mapped(x: Array, name: str) -> Array:
        return np.array(plain(stored, f"{name}.weight") @ x + plain(stored, f"{name}.bias"))

    def normed(x: Array, name: str) -> Array:
        spread = math.sqrt(float(np.var(x)) + 1e-12)
        scaled = (x - x.mean()) / spread
        return np.array(scaled * plain(stored, f"{name}.weight") + plain(stored, f"{name}.bias"))

    word = plain(stored, "word")
    xs = [normed(word[n] + plain(stored, "pos")[k], "ln") for k, n in enumerate(numbers)]
    for layer in range(layers):
        q, k, v = ([mapped(x, f"{layer}.{part}") for x in xs] for part in "qkv")
        each = len(xs[0]) // HEADS
        following = []
        for place, x in enumerate(xs):
            taken = np.zeros(len(x))
            for head in range(HEADS):
                own = slice(head * each, (head + 1) * each)
                score = [math.exp(q[place][own] @ other[own] / math.sqrt(each)) for other in k]
                for share, other in zip(score, v, strict=True):
                    taken[own] += share / sum(score) * other[own]
            x = normed(x + mapped(taken, f"{layer}.o"), f"{layer}.ln1")
            inner = mapped(x, f"{layer}.i")
            bent = np.array([y * (1 + math.erf(y / math.sqrt(2))) / 2 for y in inner])
            following.append(normed(x + mapped(bent, f"{layer}.d"), f"{layer}.ln2"))
        xs = following
    return np.array(xs)


@pytest.mark.parametrize("numbers", [[2, 3], [2, 4, 6, 7, 5, 3], [2, 1, 1, 1, 1, 1, 1, 1, 1, 3]])
def test_vectors_are_those_of_the_plain_arithmetic(numbers: list[int]) -> None:
    stored = small_arrays(layers=2)
    got = Encoder(stored, 2).of(numbers)
    assert got.dtype == np.float32
    np.testing.assert_allclose(got, reference(stored, numbers, 2), atol=2e-5)


def test_a_constant_vector_is_no_division_by_nothing() -> None:
    stored = small_arrays(layers=1)
    stored["word"] = np.zeros_like(stored["word"])
    stored["pos"] = np.ones_like(stored["pos"])
    assert np.isfinite(Encoder(stored, 1).of([2, 3])).all()


def test_the_bend_follows_the_error_function() -> None:
    x = np.linspace(-9, 9, 4001, dtype=np.float32)
    exact = [float(y) * (1 + math.erf(float(y) / math.sqrt(2))) / 2 for y in x]
    np.testing.assert_allclose(_bent(x), exact, atol=3e-6)


def test_whole_numbers_are_spread_out_by_the_scale_of_their_row() -> None:
    stored = {"m": np.array([[1, -2], [3, 4]], np.int8), "m.scale": np.array([0.5, 2], np.float16)}
    assert unpacked(stored, "m").tolist() == [[0.5, -1.0], [6.0, 8.0]]
    assert unpacked({"b": np.array([0.25], np.float16)}, "b").tolist() == [0.25]


def test_the_longest_text_is_that_of_the_places() -> None:
    assert Encoder(small_arrays(places=7), 2).longest == 7
