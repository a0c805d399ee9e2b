"""Figures of hearing on complaints of a writer whom training never saw.

    python -P tests/hearing/score.py [dev|test] [--misses]

Prints, never asserts. Of ``test`` only the figures are printed, so that nobody tunes to its rows.
A reading counts from the pack's own threshold; a pair that the annotator allowed is neither right
nor wrong. The released model was trained on dev as well, in the end: an honest figure of it is
test's, or dev's of a model trained without (train.py prints its temperature's fit).
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from tests.hearing.rows import Row, rows, second  # noqa: E402
from tests.real_pack import shop_reasoner  # noqa: E402

#: words of a text: band and its least
BANDS = (("under 9 words", 0), ("9-25 words", 9), ("26-50 words", 26), ("51 words or more", 51))


@dataclass(frozen=True)
class Told:
    """A state of a finding with the chance that it is meant."""

    finding: str
    state: str
    chance: float = 1.0


@dataclass(frozen=True)
class Tally:
    """What became of the readings of some rows.

    ``flipped``: wrong ones that take well for ill or ill for well. ``silent`` of ``talk``: rows
    that say nothing and were not given a reading.
    """

    right: int = 0
    wrong: int = 0
    flipped: int = 0
    allowed: int = 0
    said: int = 0
    talk: int = 0
    silent: int = 0

    def __add__(self, other: Tally) -> Tally:
        return Tally(*(a + b for a, b in zip(_values(self), _values(other), strict=True)))

    @property
    def precision(self) -> float:
        """Share of the readings that are right."""
        return self.right / max(1, self.right + self.wrong)

    @property
    def recall(self) -> float:
        """Share of what is said that was heard in its state."""
        return self.right / max(1, self.said)

    @property
    def f1(self) -> float:
        """Harmonic mean of both."""
        return 2 * self.right / max(1, self.right + self.wrong + self.said)


def _values(tally: Tally) -> tuple[int, ...]:
    return tuple(tally.__dict__.values())


def compared(row: Row, told: Sequence[Told], healthy: dict[str, str]) -> Tally:
    """The readings of one row against its annotation.

    Parameters
    ----------
    healthy : finding -> its healthy state.
    """
    said = row.states
    right = sum(said.get(t.finding) == t.state for t in told)
    allowed = [t for t in told if (t.finding, t.state) in row.allowed]
    allowed = [t for t in allowed if said.get(t.finding) != t.state]
    wrong = [t for t in told if t not in allowed and said.get(t.finding) != t.state]
    flipped = sum(
        t.finding in said
        and (t.state == healthy[t.finding]) != (said[t.finding] == healthy[t.finding])
        for t in wrong
    )
    talk = not said and not row.allowed
    return Tally(
        right, len(wrong), flipped, len(allowed), len(said), int(talk), int(talk and not told)
    )


def calibration(
    pairs: Iterable[tuple[Row, Sequence[Told]]],
) -> tuple[float, list[tuple[float, float, int]]]:
    """Mean distance of the chance of the very state and the share right; a row for each tenth.

    Rows: mean chance, share right, readings.
    """
    met = [
        (t.chance, row.states.get(t.finding) == t.state)
        for row, told in pairs
        for t in told
        if row.states.get(t.finding) == t.state or (t.finding, t.state) not in row.allowed
    ]
    values = np.array(met, float).reshape(-1, 2)
    band = np.minimum(9, (values[:, 0] * 10).astype(int))
    table = [
        (*(float(x) for x in values[band == n].mean(axis=0)), int((band == n).sum()))
        for n in range(10)
        if (band == n).any()
    ]
    return sum(n * abs(a - b) for a, b, n in table) / max(1, len(values)), table


def agreement(first: dict[str, Row], healthy: dict[str, str]) -> Tally:
    """What a second annotator said against the first, as if the second were the program."""
    return sum(
        (
            compared(first[row.id], [Told(*pair) for pair in row.states.items()], healthy)
            for row in second()
            if row.id in first
        ),
        Tally(),
    )


def _line(name: str, tally: Tally) -> str:
    return (
        f"{name:18} {tally.said:5} said  precision {tally.precision:.3f}  recall "
        f"{tally.recall:.3f}  F1 {tally.f1:.3f}  well/ill flipped {tally.flipped}  "
        f"silent on talk {tally.silent}/{tally.talk}"
    )


def main() -> None:
    """Print all figures."""
    options = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    options.add_argument("split", nargs="?", choices=("dev", "test"), default="dev")
    options.add_argument("--misses", action="store_true", help="list what went wrong; dev only")
    given = options.parse_args()
    if given.misses and given.split == "test":
        options.error("test is only ever scored: look at the misses of dev")

    reasoner = shop_reasoner()
    knowledge, recogniser = reasoner.knowledge, reasoner.recogniser
    healthy = {name: finding.states[0] for name, finding in knowledge.findings.items()}
    counts = knowledge.pack.hearing.counts
    bands = {name: Tally() for name, _ in BANDS}
    shown = []
    for row in rows(given.split):
        counted, every = [], []
        for heard in recogniser.understand(row.say).heard:
            finding = knowledge.symptoms[heard.symptom].observes
            states = knowledge.findings[finding].states
            # The chance of the very state, not of its side.
            share = heard.shares[states.index(heard.state)]
            side = heard.shares[0] if heard.denied else sum(heard.shares[1:])
            told = Told(finding, heard.state, heard.certainty * share / side)
            every.append(told)
            if heard.certainty >= counts:
                counted.append(told)
        shown.append((row, every))
        tally = compared(row, counted, healthy)
        words = len(row.say.split())
        bands[next(name for name, least in reversed(BANDS) if words >= least)] += tally
        if given.misses and (tally.wrong or tally.right < tally.said):
            heard_words = ", ".join(f"{t.finding}={t.state} {t.chance:.2f}" for t in counted)
            said = ", ".join(f"{name}={state}" for name, state in row.states.items())
            print(f"{row.id} {row.say!r}\n    said: {said}\n    heard: {heard_words}")
    print(_line("all", sum(bands.values(), Tally())))
    for name, tally in bands.items():
        print(_line(name, tally))
    off, table = calibration(shown)
    print(f"chance of the very state: off by {off:.3f}")
    for chance, right, count in table:
        print(f"  told {chance:.2f}  right {right:.2f}  of {count}")
    print(_line("second annotator", agreement({row.id: row for row, _ in shown}, healthy)))


if __name__ == "__main__":
    main()
