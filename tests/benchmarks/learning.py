"""What learning is worth: ``python -P tests/benchmarks/learning.py [--seeds N]``.

Invented shops whose true shares of causes differ from the cards' as a Dirichlet distribution of the
cards' own worth; and shops just as the cards say, where learning can only lose. Divergence of the
rates in force from the truth (Kullback-Leibler, nat), mean over seeds with its 95 % interval, after
so many jobs. 'in parts': in every third job nobody looked, and the stage cured it.

Then the strengths of links, in shops whose strengths differ from the cards' as a Dirichlet
distribution of the cards' own worth: each job has one cause, and one in three of the findings that
it links to is looked at, by the reporter of its check. Divergence of what is said of a finding in a
job with that cause, mean over all jobs and links.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.belief.compiled import compile_pack
from diagnose.belief.reports import report_table
from diagnose.knowledge.loader import Knowledge, load
from diagnose.learning.outcome import NOT_LOOKED, Outcome
from diagnose.learning.priors import WORTH, card_rates, pooled
from diagnose.learning.strengths import LINK_WORTH, LinkTally
from diagnose.learning.tally import Tally
from diagnose.reports.foreman_figures import ForemanFigures

JOBS = (0, 25, 100, 200)

_HEAD = "shop          jobs   mean      95 % interval       farther than the cards"


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
    print(_HEAD)
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
        told(kind, np.array(table))
    told("strengths", np.array([links(knowledge, seed) for seed in range(seeds)]))


def told(kind: str, values: np.ndarray) -> None:
    """Print a row for each number of jobs; values are (shops, numbers of jobs)."""
    half = 1.96 * values.std(axis=0, ddof=1) / np.sqrt(len(values))
    for column, jobs in enumerate(JOBS):
        mean = values[:, column].mean()
        worse = (values[:, column] > values[:, 0] + 1e-12).mean()
        span = f"{mean - half[column]:.4f} to {mean + half[column]:.4f}"
        print(f"{kind:13} {jobs:4}  {mean:.4f}   {span:19}  {worse:.0%}", flush=True)


def links(knowledge: Knowledge, seed: int) -> list[float]:
    """Divergence of the strengths from the truth of one shop, after each number of jobs."""
    rng = np.random.default_rng(seed)
    compiled = compile_pack(knowledge)
    checks = {card.observes: card for card in knowledge.checks.values()}
    truth: dict[tuple[str, str], np.ndarray] = {}
    card: dict[tuple[str, str], np.ndarray] = {}
    leaks = {table.name: spread(table.leak) for table in compiled.network.findings}
    for table in compiled.network.findings:
        for parent, row in zip(table.parents, table.at_least, strict=True):
            link = compiled.causes[parent], table.name
            card[link] = spread(row)
            truth[link] = rng.dirichlet(LINK_WORTH * card[link] + 1e-3) + 1e-9
            truth[link] /= truth[link].sum()
    rates = card_rates(knowledge)
    share = np.array(list(rates.values())) / sum(rates.values())
    tally = LinkTally(compiled)
    result, done = [], 0
    for jobs in JOBS:
        for cause in rng.choice(list(rates), jobs - done, p=share):
            reports = []
            for finding in knowledge.causes[cause].links:
                if finding not in checks or rng.random() > 1 / 3:
                    continue
                states = compiled.states(finding)
                chances = shown(truth[cause, finding], leaks[finding])
                look = checks[finding]
                table = report_table(knowledge, look, "bench")
                said = rng.choice(len(states), p=chances @ table)
                reports.append((look.id, "bench", states[said]))
            tally.add(Outcome(found=(str(cause),), reports=tuple(reports)), {})
        done = jobs
        learned = {(line.cause, line.finding): line.after for line in tally.propose()}
        total = 0.0
        for (cause, finding), right in truth.items():
            if cause not in rates:
                continue
            link = cause, finding
            guess = spread(np.array(learned[link])) if link in learned else card[link]
            leak = leaks[finding]
            weight = rates[cause] / sum(rates.values()) / len(knowledge.causes[cause].links)
            total += weight * divergence(shown(right, leak), shown(guess, leak))
        result.append(total)
    return result


def spread(at_least: np.ndarray) -> np.ndarray:
    """Chances of exactly each state, from those of at least states 1..k."""
    return -np.diff(np.concatenate([[1.0], at_least, [0.0]]))


def shown(alone: np.ndarray, leak: np.ndarray) -> np.ndarray:
    """(states,) chances of what a finding shows: the larger of both."""
    return np.diff(np.cumsum(alone) * np.cumsum(leak), prepend=0.0)


if __name__ == "__main__":
    main()
