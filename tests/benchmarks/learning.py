"""What learning is worth: ``python -P tests/benchmarks/learning.py [--seeds N]``.

Invented shops whose true shares of causes differ from the cards' as a Dirichlet distribution of the
cards' own worth; and shops just as the cards say, where learning can only lose. Divergence of the
rates in force from the truth (Kullback-Leibler, nat), mean over seeds with its 95 % interval, after
so many jobs. 'in parts': in every third job nobody looked, and the stage cured it.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.knowledge.loader import load
from diagnose.learning.outcome import NOT_LOOKED, Outcome
from diagnose.learning.priors import WORTH, card_rates, pooled
from diagnose.learning.tally import Tally
from diagnose.reports.foreman_figures import ForemanFigures

JOBS = (0, 25, 100, 200)


def divergence(truth: np.ndarray, guess: np.ndarray) -> float:
    """Kullback-Leibler divergence of the guess from the truth [nat]."""
    held = truth > 0.0
    return float(np.sum(truth[held] * np.log(truth[held] / guess[held])))


def main() -> None:
    """Print a row for each kind of shop and number of jobs."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seeds", type=int, default=200)
    seeds = options.parse_args().seeds
    knowledge = load(Path(__file__).resolve().parents[2] / "knowledge")
    rates = card_rates(knowledge)
    causes = list(rates)
    prior = np.array(list(rates.values())) / sum(rates.values())
    needs = ForemanFigures(knowledge)
    believed = dict(zip(causes, prior.tolist(), strict=True))
    print(f"{len(causes)} causes, cards worth {WORTH:.0f} jobs, {seeds} shops")
    print("shop          jobs   mean    95 % interval    farther than the cards")
    for kind in ("differs", "in parts", "as the cards"):
        table = []
        for seed in range(seeds):
            rng = np.random.default_rng(seed)
            truth = prior if kind == "as the cards" else rng.dirichlet(WORTH * prior)
            finds = rng.choice(len(causes), max(JOBS), p=truth)
            row = []
            for jobs in JOBS:
                tally = Tally(knowledge)
                for number, find in enumerate(finds[:jobs]):
                    found = [causes[find]]
                    if kind == "in parts" and number % 3 == 0:
                        stage = needs.needed(found) or ""
                        unseen = Outcome(
                            found=(NOT_LOOKED,), stage=stage, cured=True, believed=believed
                        )
                        tally.add(unseen)
                    else:
                        tally.add(Outcome(found=tuple(found)))
                guess = np.array(list(pooled(rates, tally.counts).values()))
                row.append(divergence(truth, guess / guess.sum()))
            table.append(row)
        values = np.array(table)
        half = 1.96 * values.std(axis=0, ddof=1) / np.sqrt(seeds)
        for column, jobs in enumerate(JOBS):
            mean, worse = (
                values[:, column].mean(),
                (values[:, column] > values[:, 0] + 1e-12).mean(),
            )
            span = f"{mean - half[column]:.3f} to {mean + half[column]:.3f}"
            print(f"{kind:13} {jobs:4}  {mean:.3f}   {span:16} {worse:.0%}")


if __name__ == "__main__":
    main()
