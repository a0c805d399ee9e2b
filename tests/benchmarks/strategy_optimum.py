"""The lookahead against the exact optimum: python -P tests/benchmarks/strategy_optimum.py [N].

N problems (default 100) cut from the shipped cards, seeds fixed. Costs over the optimum's, and the
share of the one-step lookahead's regret that is left.
"""

from __future__ import annotations

import itertools
import os
import sys
import time
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from diagnose.knowledge.loader import load
from diagnose.knowledge.root import knowledge_root
from diagnose.strategy.lookahead import Situation, advise
from tests.strategy.optimum import Cutter, cost_of

#: what each policy asks of the lookahead; the last leaves all of it to the program
POLICIES: dict[str, dict[str, Any]] = {
    "one step": {"ahead": 1},
    "two steps": {"ahead": 2},
    "four steps": {"ahead": 4},
    "shipped": {},
}


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    cutter = Cutter(load(knowledge_root()))
    ratios: dict[str, list[float]] = {name: [] for name in POLICIES}
    excess = dict.fromkeys(POLICIES, 0.0)
    spent = dict.fromkeys(POLICIES, 0.0)
    complaints, asked, saved = set(), [], []
    for cut in itertools.islice(cutter.cuts(seed=1), count):
        complaints.add(cut.complaint)
        asked.append(cut.best.asked)
        saved.append(1.0 - cut.best.cost / cut.best.stop)
        for name, asked_of_it in POLICIES.items():

            def policy(s: Situation, how: dict[str, Any] = asked_of_it) -> int | None:
                return advise(s, **how).option

            start = time.perf_counter()
            cost = cost_of(cut.situation, policy)
            spent[name] += time.perf_counter() - start
            ratios[name].append(cost / cut.best.cost)
            excess[name] += cost - cut.best.cost
    print(f"{count} problems, {len(complaints)} complaints; the optimum asks {np.mean(asked):.2f}")
    print(f"times and saves {np.mean(saved):.1%} of stopping at once, on average")
    print(f"{'':>12} {'mean':>8} {'p95':>8} {'worst':>8} {'regret left':>12} {'seconds':>8}")
    for name, row in ratios.items():
        left = excess[name] / max(excess["one step"], 1e-12)
        print(
            f"{name:>12} {np.mean(row):8.4f} {np.quantile(row, 0.95):8.4f} {max(row):8.4f} "
            f"{left:12.1%} {spent[name]:8.1f}"
        )


if __name__ == "__main__":
    main()
