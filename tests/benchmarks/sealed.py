"""Sixty cases of one hand who saw neither cards nor program.

python -P tests/benchmarks/sealed.py dev|test [-v]

Each is played as a conversation, in which what the case does not know is 'not sure', and told
whole. Of test (30) only the figures are printed, and nobody reads it; dev (30) was looked at: -v
prints its misses.
"""

from __future__ import annotations

import os
import sys
from collections import defaultdict
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from diagnose.analysis.written import Caller, view_of
from diagnose.casebook.cases import load_cases
from diagnose.reasoning.judgement import judge
from tests.casebook.runner import play, verdicts
from tests.real_pack import shop_reasoner

FOLDER = Path(__file__).parents[1] / "casebook" / "sealed"


def main() -> None:
    half = next((a for a in sys.argv[1:] if a in ("dev", "test")), "dev")
    verbose = "-v" in sys.argv and half == "dev"
    reasoner = shop_reasoner()
    caller = Caller(reasoner.knowledge)
    rows: dict[str, list[bool]] = defaultdict(list)
    asked = {"counter": 0, "bench": 0}
    cases = load_cases(FOLDER / half, reasoner.knowledge)
    for case in cases:
        played = play(reasoner, case)
        met = {f"played {name}": good for name, good in verdicts(played).items()}
        asked["counter"] += len(played.asked_counter)
        asked["bench"] += len(played.asked_bench)
        job = {
            "at": "bench",
            "complaint": case.complaint,
            "shock": case.shock,
            "answers": {**case.counter, **case.bench},
        }
        told = judge(caller, view_of(caller, job))
        first = [line.id for line in told.causes[:3]]
        met["told bench.stage"] = told.stage.id in case.expect.bench.stage
        if case.truth:
            met["told top1"] = first[0] in case.truth
            met["told top3"] = set(case.truth) <= set(first)
        for name, good in met.items():
            rows[name].append(good)
        if verbose and not all(met.values()):
            print(f"{case.id}: {' '.join(case.complaint.split())}")
            print(f"   missed {[name for name, good in met.items() if not good]}, {case.truth}")
            print(f"   told {told.stage.id} {told.ride} {first}")
            print(f"   asked {played.asked_counter} {played.asked_bench}")
    for name in sorted(rows):
        print(f"{name:>22} {sum(rows[name]):3} of {len(rows[name])}")
    for desk, count in asked.items():
        print(f"{desk}: {count / len(cases):.1f} questions a case")


if __name__ == "__main__":
    main()
