"""The trained model: from a whole text to a chance for each state of each finding, with its words.

Rules
-----
- One file holds encoder, vocabulary, labels and temperature; nothing in it is changed here.
- A finding looks over the whole text, weighs the pieces that speak of it, and is then said in one
  of its states or not said at all: these chances add up to 1.
- The words that carry a reading are where most of that weight lies; where these are all little
  or dull ones, as many beside them as it takes to quote something.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from diagnose.complaint.encoder import Encoder, Floats32, unpacked
from diagnose.complaint.english import DULL, LITTLE
from diagnose.complaint.pieces import Piece, Pieces
from diagnose.errors import InputError

__all__ = ["Said", "Trained"]

#: a neighbour of the weightiest piece belongs to a reading's words from this share of its weight on
_CARRIES = 0.2

#: pieces that a quotation of little words grows by at most
_QUOTED = 6


@dataclass(frozen=True)
class Said:
    """What a text says of one finding.

    ``chances``: (states,) chance that it says each state; what they lack of 1 is 'not said'.
    ``start``, ``end``: place of the words that carry it.
    """

    finding: str
    chances: tuple[float, ...]
    start: int
    end: int

    @property
    def chance(self) -> float:
        """Chance that it is said at all."""
        return sum(self.chances)


class _File:
    """The file of a model: encoder, vocabulary and heads, spread out once for all packs."""

    def __init__(self, path: Path) -> None:
        try:
            with np.load(path) as file:
                stored = {name: file[name] for name in file.files}
            self.about = json.loads(stored.pop("about").tobytes())
        except (OSError, EOFError, BadZipFile, ValueError, KeyError) as error:
            raise InputError(
                f"the hearing model cannot be read ({error}).",
                where=str(path),
                next_step="Install the program again, or train it: tests/hearing/train.py",
            ) from error
        self.pieces = Pieces(self.about["vocabulary"])
        self.encoder = Encoder(stored, self.about["layers"])
        self.look = unpacked(stored, "att.weight"), unpacked(stored, "att.bias")
        self.heads = unpacked(stored, "cls"), unpacked(stored, "bias")


_opened = cache(_File)


class Trained:
    """A model in its file.

    Parameters
    ----------
    path : the file. pack : device whose findings are heard.

    Raises
    ------
    InputError : not such a file.
    """

    def __init__(self, path: Path, pack: str) -> None:
        self._file = _opened(path)
        about = self._file.about
        sizes = [len(label["states"]) for label in about["findings"]]
        ends = np.cumsum(sizes)
        own = [n for n, label in enumerate(about["findings"]) if label["pack"] == pack]
        #: finding -> its states at the time of training
        self.states: dict[str, list[str]] = {
            about["findings"][n]["finding"]: about["findings"][n]["states"] for n in own
        }
        self._labels = [slice(int(ends[n]) - sizes[n], int(ends[n])) for n in own]
        numbers = self._file.pieces.numbers
        self._little = {numbers[word] for word in LITTLE | DULL if word in numbers}
        weight, bias = self._file.look
        self._look = weight[own], bias[own]

    @cached_property
    def common(self) -> frozenset[str]:
        """Words that are said beside any complaint: not to know them hides nothing."""
        return frozenset(self._file.about["common"])

    def of(self, text: str) -> list[Said]:
        """What a text says of each finding, in the order of the labels."""
        pieces = self._file.pieces.of(text)
        longest = self._file.encoder.longest - 2
        if not pieces:
            return []
        if len(pieces) > longest:
            return self._in_parts(text, pieces, longest)
        return self._read(pieces)

    def _in_parts(self, text: str, pieces: list[Piece], longest: int) -> list[Said]:
        """A very long text in halves; what is said more plainly in one of them counts."""
        middle = pieces[len(pieces) // 2].start
        # Between two sentences where one ends shortly before the middle, else between two words.
        ends = (text.rfind(sign, middle // 2, middle) + 1 for sign in (".", "\n", ",", " "))
        cut = next((end for end in ends if end > 0), middle)
        first = self.of(text[:cut])
        rest = [Said(s.finding, s.chances, s.start + cut, s.end + cut) for s in self.of(text[cut:])]
        if not first or not rest:
            return first or rest
        return [max(pair, key=lambda s: s.chance) for pair in zip(first, rest, strict=True)]

    def _read(self, pieces: list[Piece]) -> list[Said]:
        numbers = self._file.pieces.numbers
        x = self._file.encoder.of(
            [numbers["[CLS]"], *(piece.number for piece in pieces), numbers["[SEP]"]]
        )
        weight, bias = self._look
        look = x @ weight.T + bias
        look = np.exp(look - look.max(axis=0))
        look /= look.sum(axis=0)
        about = look.T @ x
        cls, offset = self._file.heads
        found = []
        for row, (finding, label) in enumerate(zip(self.states, self._labels, strict=True)):
            score = (cls[label] @ about[row] + offset[label]) / self._file.about["temperature"]
            top = max(0.0, float(score.max()))
            share = np.exp(score - top)
            chances = share / (share.sum() + np.exp(-top))
            start, end = _span(pieces, look[1:-1, row], self._little)
            found.append(Said(finding, tuple(map(float, chances)), start, end))
        return found


def _span(pieces: list[Piece], look: Floats32, little: Collection[int] = ()) -> tuple[int, int]:
    """Place of the pieces around the weightiest one that still carry the reading.

    ``little``: numbers of the pieces that quote nothing by themselves.
    """
    first = last = int(look.argmax())
    least = _CARRIES * look[first]
    while first > 0 and look[first - 1] >= least:
        first -= 1
    while last + 1 < len(pieces) and look[last + 1] >= least:
        last += 1
    while last - first < _QUOTED and all(p.number in little for p in pieces[first : last + 1]):
        before = look[first - 1] if first else -1.0
        after = look[last + 1] if last + 1 < len(pieces) else -1.0
        if before == after == -1.0:
            break
        first, last = (first - 1, last) if before > after else (first, last + 1)
    # never half a word
    while first > 0 and pieces[first - 1].end == pieces[first].start:
        first -= 1
    while last + 1 < len(pieces) and pieces[last + 1].start == pieces[last].end:
        last += 1
    return pieces[first].start, pieces[last].end
