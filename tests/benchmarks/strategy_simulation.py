"""Whole jobs, words to bench: python -P tests/benchmarks/strategy_simulation.py [JOBS].

JOBS jobs (default 60) as they are, with a tenth of the answers flipped, and with 'not sure' at
three in ten; calibration with its noise floor. Seeds fixed. Without words and conversation, and so
in thousands: honest.py. Against fixed checklists: diagnose knowledge simulate.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from diagnose.knowledge.loader import load
from diagnose.knowledge.root import knowledge_root
from diagnose.reasoning.reasoner import Reasoner
from tests.benchmarks.simulated import Played, calibration, play_jobs
from tests.benchmarks.world import Nature

NATURES = {
    "as they are": Nature(),
    "1 in 10 flipped": Nature(flips=0.1),
    "3 in 10 not sure": Nature(not_sure=0.3),
}


def main() -> None:
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    simulated(Reasoner(load(knowledge_root())), jobs)


def simulated(reasoner: Reasoner, count: int) -> None:
    print(f"{count} jobs each")
    print(f"{'answers':>18} {'first right':>16} {'asked':>6} {'avoidable':>16} {'held':>5}")
    plain: list[Played] = []
    for name, nature in NATURES.items():
        played = play_jobs(reasoner, count, 11, nature)
        plain = plain or played
        right = np.array([job.right for job in played])
        avoidable = np.array([job.avoidable for job in played])
        asked = np.mean([len(job.asked) for job in played])
        print(
            f"{name:>18} {_with_error(right):>16} {asked:6.1f} {_with_error(avoidable):>16} "
            f"{sum(job.held for job in played):5d}",
            flush=True,
        )
    print(f"{'calibration':>18} {'error':>8} {'floor':>8}")
    rows: dict[str, tuple[Sequence[float], Sequence[float]]] = {
        "first cause": ([j.top_chance for j in plain], [j.top in j.truth for j in plain]),
        "the plan cures": ([j.cures for j in plain], [j.cured for j in plain]),
        "stop riding": ([j.stop for j in plain], [j.stops for j in plain]),
    }
    for name, (stated, met) in rows.items():
        told = calibration(stated, met)
        print(f"{name:>18} {told.error:8.3f} {told.floor:8.3f}")
        print(f"{'':>18} stated {np.array2string(told.stated, precision=2, max_line_width=200)}")
        print(f"{'':>18} met    {np.array2string(told.met, precision=2, max_line_width=200)}")


def _with_error(values: np.ndarray) -> str:
    """Mean and its standard error."""
    return f"{values.mean():.3f} +- {values.std() / np.sqrt(len(values)):.3f}"


if __name__ == "__main__":
    main()
