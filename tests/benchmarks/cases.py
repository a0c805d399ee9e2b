"""Plays cases of every pack, prints what is met: python -P tests/benchmarks/cases.py [ID] [-v]."""

from __future__ import annotations

import os
import statistics
import sys

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from diagnose.casebook.cases import load_cases
from diagnose.knowledge.root import cases_root
from tests.casebook.runner import play, verdicts
from tests.real_pack import PACKS, pack_reasoner


def main() -> None:
    verbose = "-v" in sys.argv
    wanted = {a for a in sys.argv[1:] if not a.startswith("-")}
    reasoners = [pack_reasoner(pack) for pack in PACKS]
    cases = [(r, case) for r in reasoners for case in load_cases(cases_root(), r.knowledge)]
    if unknown := wanted - {case.id for _, case in cases}:
        sys.exit(f"no such case: {', '.join(sorted(unknown))}; they lie in {cases_root()}")
    rows: dict[str, list[bool]] = {}
    questions, keys, checks = [], [], []
    for reasoner, case in cases:
        if wanted and case.id not in wanted:
            continue
        played = play(reasoner, case)
        met = verdicts(played)
        for name, good in met.items():
            rows.setdefault(name, []).append(good)
            rows.setdefault(f"{case.difficulty} {name}", []).append(good)
        questions.append(len(played.asked_counter))
        checks.append(len(played.asked_bench))
        keys.append(played.keys)
        missed = [name for name, good in met.items() if not good]
        if verbose and (missed or wanted):
            print(f"\n{case.id}: {' '.join(case.complaint.split())}")
            print(f"   truth {case.truth}; missed {missed}")
            for moment in ("words", "counter", "bench"):
                call = getattr(played, moment)
                expected = getattr(case.expect, moment)
                also = [line.id for line in call.also_stages]
                top = [(line.id, round(line.probability, 2)) for line in call.causes[:4]]
                print(f"   {moment}: {call.stage.id} {also} {call.ride} {top}")
                if expected:
                    print(f"       want {expected.stage} {expected.also} {expected.ride}")
            said = [(x.id, x.state, x.how_sure) for x in played.words.symptoms]
            print(f"   heard {said}\n   counter {played.asked_counter}")
            print(f"   bench {played.asked_bench}")
    for name in sorted(rows):
        print(f"{name:>26} {sum(rows[name]) / len(rows[name]):.3f} of {len(rows[name])}")
    print(f"counter questions: median {statistics.median(questions)}, most {max(questions)}")
    print(f"bench checks: median {statistics.median(checks)}, most {max(checks)}")
    print(f"keys: median {statistics.median(keys)}, most {max(keys)}")


if __name__ == "__main__":
    main()
