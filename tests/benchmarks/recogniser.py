"""Figures of the recogniser: on phrases left out of the cards, on sayings written apart, in time.

Run the file. ``--misses`` lists what went wrong. One phrase in five of each state is left out
(seeded); the recogniser is built from the rest. Sayings are told by the half that is kept apart.
``--fit`` prints the coefficients of certainty that the phrases left out and the other half would
give; nothing of the half kept apart goes into them.
"""

from __future__ import annotations

import pickle
import random
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from diagnose.complaint.recogniser import Recogniser  # noqa: E402
from diagnose.knowledge.loader import Knowledge, read_pack  # noqa: E402
from tests.complaint.halves import all_chatter, all_sayings  # noqa: E402

SEEDS = (1, 2, 3, 4)


@dataclass(frozen=True)
class Saying:
    """What is said and what it means."""

    text: str
    symptom: str
    state: str


def hold_out(knowledge: Knowledge, seed: int, share: int = 5) -> tuple[Knowledge, list[Saying]]:
    """Knowledge without one phrase in ``share`` of each state, and those phrases."""
    chance = random.Random(seed)
    held: list[Saying] = []
    symptoms = {}
    for card in knowledge.symptoms.values():
        kept = {}
        for state, sayings in card.phrases.items():
            shuffled = chance.sample(sayings, len(sayings))
            count = len(sayings) // share
            held += [Saying(text, card.id, state) for text in shuffled[:count]]
            kept[state] = shuffled[count:]
        symptoms[card.id] = card.model_copy(update={"phrases": kept})
    return knowledge.model_copy(update={"symptoms": symptoms}), held


def figures(
    knowledge: Knowledge, recogniser: Recogniser, sayings: Sequence[Saying], misses: bool
) -> dict[str, float]:
    """Shares over the sayings; see the names."""
    first = third = heard = state_right = denials = other_denials = spurious = empty = 0
    brier = 0.0
    bands: dict[int, list[int]] = {}
    unhealthy = 0
    for saying in sayings:
        states = knowledge.findings[knowledge.symptoms[saying.symptom].observes].states
        sick = saying.state != states[0]
        unhealthy += sick
        best = [reading.symptom for reading in recogniser.best(saying.text)]
        first += best[:1] == [saying.symptom]
        third += saying.symptom in best
        readings = recogniser.understand(saying.text).heard
        empty += not readings
        for reading in readings:
            right = reading.symptom == saying.symptom and reading.state == saying.state
            brier += (reading.certainty - right) ** 2
            bands.setdefault(min(9, int(reading.certainty * 10)), []).append(right)
            if reading.symptom == saying.symptom:
                heard += 1
                state_right += reading.state == saying.state
                denials += sick and reading.denied
            else:
                spurious += 1
                other_denials += reading.denied
        if misses and (
            best[:1] != [saying.symptom]
            or not any(r.symptom == saying.symptom and r.state == saying.state for r in readings)
        ):
            told = ", ".join(f"{r.symptom[5:]}={r.state} {r.certainty:.2f}" for r in readings)
            print(f"  {saying.text!r}: {saying.symptom[5:]}={saying.state}; {told or 'nothing'}")
    count = len(sayings)
    told = sum(len(rows) for rows in bands.values()) or 1
    result = {
        "sayings": count,
        "right symptom first": first / count,
        "right symptom in first three": third / count,
        "right symptom heard": heard / count,
        "nothing heard": empty / count,
        "right state where heard": state_right / max(heard, 1),
        "sick, heard as denied": denials / max(unhealthy, 1),
        "other symptoms per text": spurious / count,
        "of these denials": other_denials / count,
        "Brier": brier / told,
    }
    for band in sorted(bands):
        rows = bands[band]
        result[f"right of certainty {band / 10:.1f} ({len(rows)})"] = sum(rows) / len(rows)
    return result


def run_together(
    recogniser: Recogniser, sayings: Sequence[Saying], seed: int = 5, texts: int = 150
) -> dict[str, float]:
    """Three sayings in one text: joined by commas, and by nothing at all."""
    chance = random.Random(seed)
    drawn = [chance.sample(list(sayings), 3) for _ in range(texts)]
    result = {}
    for name, joint in (("commas", ", "), ("nothing", " ")):
        right = spurious = denials = 0
        for three in drawn:
            wanted = {(saying.symptom, saying.state) for saying in three}
            for reading in recogniser.understand(joint.join(s.text for s in three)).heard:
                met = (reading.symptom, reading.state) in wanted
                right += met
                denials += reading.denied and not met
                spurious += reading.symptom not in {saying.symptom for saying in three}
        result[f"joined by {name}: right"] = right / (3 * texts)
        result[f"joined by {name}: others per text"] = spurious / texts
        result[f"joined by {name}: wrong denials per symptom"] = denials / (3 * texts)
    return result


def fit(sets: Sequence[tuple[Recogniser, Sequence[Saying], float]]) -> None:
    """Print offset and coefficients of the chance that a symptom is right (logistic regression)."""
    chance = random.Random(3)
    rows, right, weights = [], [], []
    for recogniser, sayings, weight in sets:
        texts = [(saying.text, {saying.symptom}) for saying in sayings]
        for _ in range(len(sayings) // 4):
            three = chance.sample(list(sayings), 3)
            joint = chance.choice([", ", ". ", " and "])
            texts.append((joint.join(s.text for s in three), {s.symptom for s in three}))
        for text, meant in texts:
            content = [w for w in recogniser._reader.read(text) if w.meaning]
            for reading in recogniser._readings(content, least=0.02):
                rows.append((1.0, *reading.features))
                right.append(float(reading.symptom in meant))
                weights.append(weight)
    x, y, w = np.array(rows), np.array(right), np.array(weights)
    b = np.zeros(x.shape[1])
    for _ in range(30):
        p = 1 / (1 + np.exp(-x @ b))
        information = (x * (w * p * (1 - p))[:, None]).T @ x + 1e-3 * np.eye(len(b))
        b += np.linalg.solve(information, x.T @ (w * (y - p)) - 1e-3 * b)
    print("offset and coefficients:", b.round(2))


def _print(title: str, rows: dict[str, float]) -> None:
    print(title)
    for name, value in rows.items():
        print(f"  {name:38} {value:8.3f}" if value < 2 else f"  {name:38} {value:8.0f}")


def main() -> None:
    """Print all figures."""
    misses = "--misses" in sys.argv
    knowledge, _, problems = read_pack(ROOT / "knowledge")
    if knowledge is None:
        raise SystemExit("\n".join(map(str, problems)))
    fitted: list[tuple[Recogniser, Sequence[Saying], float]] = []
    for seed in SEEDS:
        rest, held = hold_out(knowledge, seed)
        without = Recogniser(rest)
        fitted.append((without, held, 1.0))
        _print(f"left out, seed {seed}", figures(rest, without, held, misses))
    started = time.process_time()
    recogniser = Recogniser(knowledge)
    built = time.process_time() - started
    stored = pickle.dumps(recogniser)
    started = time.process_time()
    pickle.loads(stored)
    loaded = time.process_time() - started
    apart, to_fit = (
        [Saying(row["say"], row["symptom"], row["state"]) for row in half] for half in all_sayings()
    )
    _print("sayings", figures(knowledge, recogniser, apart, misses))
    _print("three sayings in one text", run_together(recogniser, apart))
    if "--fit" in sys.argv:
        nothing = [Saying(text, "", "") for text in all_chatter()[1]]
        fit([*fitted, (recogniser, to_fit, 3.0), (recogniser, nothing, 6.0)])
    text = " and ".join(saying.text for saying in apart[::20])
    words = text.split()[:40]
    spans = []
    for _ in range(50):
        started = time.process_time()
        recogniser.understand(" ".join(words))
        spans.append(time.process_time() - started)
    long = " ".join(saying.text for saying in apart).split()
    long = (long * (10000 // len(long) + 1))[:10000]
    started = time.process_time()
    recogniser.understand(" ".join(long))
    print(f"40 words: {statistics.median(spans) * 1e3:.1f} ms of processor time")
    print(f"10,000 words: {time.process_time() - started:.2f} s of processor time")
    phrases = sum(map(_count, knowledge.symptoms.values()))
    print(f"built from {phrases} phrases in {built * 1e3:.0f} ms, loaded in {loaded * 1e3:.0f} ms")


def _count(card: object) -> int:
    return sum(len(sayings) for sayings in getattr(card, "phrases").values())  # noqa: B009


if __name__ == "__main__":
    main()
