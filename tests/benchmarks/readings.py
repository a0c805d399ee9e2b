"""What readings are worth: every case played with its readings, and with none to be had.

python -P tests/benchmarks/readings.py

Without readings a measuring check is answered 'not sure', as where the shop has no gauge to hand.
"""

from __future__ import annotations

import os
import statistics

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from diagnose.casebook.cases import Case, load_cases
from diagnose.knowledge.loader import load
from diagnose.knowledge.root import cases_root, knowledge_root
from diagnose.reasoning.reasoner import Reasoner
from tests.casebook.runner import play, verdicts


def _without(case: Case) -> Case:
    bench = {ask: value for ask, value in case.bench.items() if not isinstance(value, dict)}
    return case.model_copy(update={"bench": bench})


def main() -> None:
    reasoner = Reasoner(load(knowledge_root()))
    cases = load_cases(cases_root(), reasoner.knowledge)
    measured = [c for c in cases if any(isinstance(v, dict) for v in c.bench.values())]
    print(f"{len(measured)} of {len(cases)} cases have readings")
    for name, rows in (("with", measured), ("without", [_without(c) for c in measured])):
        asked, met, sure = [], {"bench.stage": 0, "top1": 0, "top3": 0}, []
        for case in rows:
            played = play(reasoner, case)
            found = verdicts(played)
            for kind in met:
                met[kind] += found.get(kind, True)
            asked.append(len(played.asked_bench))
            sure.append(played.bench.stage.cures)
        print(
            f"{name:>8}: {met}, bench checks mean {statistics.mean(asked):.1f}, "
            f"median {statistics.median(asked)}, plan cures {statistics.mean(sure):.2f}"
        )


if __name__ == "__main__":
    main()
