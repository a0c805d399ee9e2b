"""Does the score measure skill: ``python tests/benchmarks/training.py [CASES [LUCK]]``.

Six simulated apprentices, from one who guesses to one who makes the best move every time, play
CASES cases (20 by default), and then CASES other ones. Printed: each one's mean score, safety
lapses and Brier score; Kendall's tau between skill and mean score; the correlation of the mean
scores between the two halves (other cases, other luck); and the lowest score of the best path,
which must be 100. LUCK is a number that changes every draw. Not collected by pytest.

Source: Kendall 1938, *A new measure of rank correlation*, Biometrika 30(1/2), tau-a.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.casebook.cases import load_cases
from diagnose.knowledge.loader import load
from diagnose.knowledge.root import cases_root, knowledge_root
from diagnose.training.apprentices import APPRENTICES, play
from diagnose.training.generate import generate
from diagnose.training.moment import Coach
from diagnose.training.scenario import Scenario, of_case
from diagnose.training.scoring import Result


def kendall(first: Sequence[float], second: Sequence[float]) -> float:
    """Kendall's tau-a of two lists of the same length."""
    pairs = list(combinations(range(len(first)), 2))

    def way(i: int, j: int) -> int:
        one, other = first[i] - first[j], second[i] - second[j]
        return ((one > 0) - (one < 0)) * ((other > 0) - (other < 0))

    return sum(way(i, j) for i, j in pairs) / len(pairs)


def halves(coach: Coach, count: int, luck: int) -> tuple[list[Scenario], list[Scenario]]:
    """Two lists of scenarios, three written ones to each drawn one, no scenario in both."""
    cases = load_cases(cases_root(None), coach.knowledge)
    step = max(1, len(cases) // (2 * count))
    written = [of_case(case, coach.knowledge) for case in cases[::step]]
    drawn = [generate(coach.compiled, 1000 * (luck + 1) + n) for n in range(count)]
    mixed = [drawn.pop() if n % 4 == 3 else written[n] for n in range(2 * count)]
    return mixed[:count], mixed[count:]


def main() -> None:
    """Play and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    luck = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    coach = Coach(load(knowledge_root(None)))
    began = time.perf_counter()
    sets = halves(coach, count, luck)
    means: list[list[float]] = [[], []]
    lowest = 100.0
    print(f"{'apprentice':<14} {'score':>6} {'again':>6} {'lapses':>7} {'Brier':>6} {'steps':>6}")
    for apprentice in APPRENTICES:
        runs: list[list[Result]] = [
            [play(coach, scenario, apprentice, 2 * luck + half) for scenario in scenarios]
            for half, scenarios in enumerate(sets)
        ]
        for n, results in enumerate(runs):
            means[n].append(statistics.fmean(r.score for r in results))
        everything = runs[0] + runs[1]
        lapses = statistics.fmean(len(r.lapses) for r in everything)
        brier = statistics.fmean(r.call.brier for r in everything)
        steps = statistics.fmean(len(r.steps) for r in everything)
        if apprentice is APPRENTICES[-1]:
            lowest = min(r.score for r in everything)
        print(
            f"{apprentice.name:<14} {means[0][-1]:6.1f} {means[1][-1]:6.1f} {lapses:7.2f} "
            f"{brier:6.2f} {steps:6.1f}",
            flush=True,
        )
    skill = [-apprentice.temperature for apprentice in APPRENTICES]
    taus = [kendall(skill, mean) for mean in means]
    print(f"Kendall tau of skill and score: {taus[0]:.2f}, again {taus[1]:.2f} (wanted 0.95)")
    print(f"test-retest over {count} cases: {statistics.correlation(*means):.3f} (wanted 0.9)")
    print(f"lowest score of the best path: {lowest:.1f} (wanted 100)")
    print(f"{2 * count * len(APPRENTICES)} sessions in {time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()
