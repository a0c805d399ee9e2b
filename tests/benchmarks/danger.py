"""Ride and do-not-open from the complaint alone: python -P tests/benchmarks/danger.py [a|b] [-v]

Over tests/casebook/danger_words_*.yaml, written blind. Half a may be looked at while working; half
b is only ever scored. Printed: how often somebody is sent out who must stop, stopped for nothing,
and how often a sign of trapped gas is missed or seen where there is none.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import yaml

from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.knowledge.loader import load
from diagnose.knowledge.root import knowledge_root
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.reasoner import Reasoner

FOLDER = Path(__file__).resolve().parents[1] / "casebook"
STOP = "stop_riding"


def main() -> None:
    half = next((a for a in sys.argv[1:] if not a.startswith("-")), "a")
    reasoner = Reasoner(load(knowledge_root()))
    rows = yaml.safe_load((FOLDER / f"danger_words_{half}.yaml").read_text("utf-8"))
    kinds = {"ride": [0, 0], "ride_gently": [0, 0], STOP: [0, 0]}
    right = sent = missed = false = shut = 0
    for row in rows:
        events, _ = events_of({"complaint": row["say"]}, reasoner.knowledge)
        call = judge(reasoner, reasoner.view(fold(events)))
        best, opened = row["ride"][0], str(row["open"]) in ("yes", "True")
        right += call.ride in row["ride"]
        kinds[best][1] += 1
        kinds[best][0] += call.ride == STOP and STOP not in row["ride"]
        sent += row["ride"] == [STOP] and call.ride == "ride"
        closed = call.stage.id == "do_not_open"
        shut += not opened
        missed += not opened and not closed
        false += opened and closed
        if "-v" in sys.argv and (call.ride not in row["ride"] or closed == opened):
            print(f"- {row['id']} {row['say'][:150]}\n    {call.ride} want {row['ride']}, "
                  f"{call.stage.id}, open {row['open']}: {call.ride_reason[:90]}")  # fmt: skip
            print("   ", [(s.id[5:], s.state, s.how_sure) for s in call.symptoms])
    print(f"{len(rows)} rows ({half}): ride right {right / len(rows):.3f}")
    print(f"must stop and only stop, told 'ride': {sent} of {kinds[STOP][1]}")
    for best in ("ride", "ride_gently"):
        bad, of = kinds[best]
        print(f"stopped where the key says {best}: {bad} of {of} ({bad / max(of, 1):.3f})")
    print(f"sign of trapped gas missed {missed} of {shut}, seen where there is none {false}")


if __name__ == "__main__":
    main()
