"""A small model read from its file: chances add up, long texts in halves, damage is told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from diagnose.complaint.encoder import Encoder
from diagnose.complaint.pieces import Piece
from diagnose.complaint.trained import Trained, _span
from diagnose.errors import InputError
from tests.complaint.small_model import VOCABULARY, small_arrays, write_small


@pytest.fixture
def model(tmp_path: Path) -> Trained:
    return Trained(write_small(tmp_path / "small.npz"), "kettle")


def test_chances_are_those_of_states_against_not_said(model: Trained) -> None:
    stored = {name: values.astype(float) for name, values in small_arrays().items()}
    x = Encoder(small_arrays(), 2).of([2, VOCABULARY.index("hot"), VOCABULARY.index("."), 3])
    look = np.exp(x @ stored["att.weight"][0])
    score = np.exp(stored["cls"][:3] @ (look @ x / look.sum()) / 1.5)
    (said,) = model.of("hot.")
    assert said.chances == pytest.approx(score / (1 + score.sum()), abs=1e-5)
    assert 0 < said.chance < 1


def test_only_the_findings_of_the_pack_are_heard(tmp_path: Path) -> None:
    path = write_small(tmp_path / "small.npz")
    assert Trained(path, "kettle").states == {"heat": ["hot", "lukewarm", "cold"]}
    assert Trained(path, "other").states == {"drips": ["dry", "drips"]}
    assert Trained(path, "toaster").states == {}
    assert [said.finding for said in Trained(path, "other").of("drips")] == ["drips"]


def test_nothing_is_said_by_nothing(model: Trained) -> None:
    assert model.of("") == model.of("  \n ") == []


def test_a_text_longer_than_the_model_is_read_in_halves(model: Trained) -> None:
    longest = small_arrays()["pos"].shape[0] - 2
    whole = ("cold " * longest).strip()
    assert len(model.of(whole)) == 1
    halves = "cold cold cold cold. hot drips hot drips hot"
    cut = halves.index(".") + 1  # the sentence that ends before the middle piece
    first, rest = halves[:cut], halves[cut:]
    likelier = max((model.of(part)[0] for part in (first, rest)), key=lambda said: said.chance)
    (said,) = model.of(halves)
    assert said.chances == likelier.chances
    shift = 0 if likelier == model.of(first)[0] else len(first)
    assert (said.start, said.end) == (likelier.start + shift, likelier.end + shift)


@pytest.mark.parametrize("text", ["hot" * 200, "." * 1000, "hot " * 999, "cold\n" * 50 + "hot"])
def test_a_very_long_text_comes_to_an_end(model: Trained, text: str) -> None:
    for said in model.of(text):
        assert 0 <= said.start < said.end <= len(text)
        assert 0 < said.chance < 1


def test_a_damaged_file_says_which_and_what_next(tmp_path: Path) -> None:
    missing, empty, cut = (tmp_path / name for name in ("missing.npz", "empty.npz", "cut.npz"))
    empty.write_bytes(b"")
    whole = write_small(tmp_path / "whole.npz").read_bytes()
    cut.write_bytes(whole[: len(whole) // 2])
    for path in (missing, empty, cut):
        with pytest.raises(InputError, match="hearing model") as caught:
            Trained(path, "kettle")
        assert str(path) in str(caught.value)
        assert "train.py" in str(caught.value)


def test_a_file_that_says_nothing_of_itself_is_damaged(tmp_path: Path) -> None:
    path = tmp_path / "mute.npz"
    np.savez(path, **small_arrays())
    with pytest.raises(InputError, match="hearing model"):
        Trained(path, "kettle")


def test_words_go_on_while_they_carry_and_are_never_half() -> None:
    # sag ging | a | lot
    pieces = [Piece(0, 3, 0), Piece(3, 7, 0), Piece(8, 9, 0), Piece(10, 13, 0)]
    look = np.array([0.05, 0.6, 0.2, 0.05], np.float32)
    assert _span(pieces, look) == (0, 9)
    assert _span(pieces, np.array([0.1, 0.1, 0.1, 0.7], np.float32)) == (10, 13)


def test_little_words_are_quoted_with_what_stands_beside_them() -> None:
    # low | in | the | morning
    pieces = [Piece(0, 3, 7), Piece(4, 6, 1), Piece(7, 10, 2), Piece(11, 18, 8)]
    look = np.array([0.07, 0.4, 0.4, 0.05], np.float32)
    assert _span(pieces, look, {1, 2}) == (0, 10)
    assert _span(pieces, look) == (4, 10)
    assert _span(pieces[1:3], look[1:3], {1, 2}) == (4, 10)
