"""Stage, ride and causes from the complaint alone, over tests/casebook/loose_words.yaml.

python -P tests/benchmarks/loose_words.py [dev|test|all] [-v] [-f_a]

The `dev` half may be looked at while tuning; the `test` half is only ever scored.
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


def main() -> None:
    half = next((a for a in sys.argv[1:] if not a.startswith("-")), "dev")
    verbose = "-v" in sys.argv
    pattern = f"loose_words{next((a[2:] for a in sys.argv if a.startswith('-f')), '*')}.yaml"
    reasoner = Reasoner(load(knowledge_root()))
    rows = [
        row
        for path in sorted(FOLDER.glob(pattern))
        for row in yaml.safe_load(path.read_text())
        if half == "all" or row["half"] == half
    ]
    hits = {"stage": 0, "stage best": 0, "ride": 0, "first": 0, "third": 0, "heard": 0}
    for row in rows:
        events, _ = events_of({"complaint": row["say"]}, reasoner.knowledge)
        view = reasoner.view(fold(events))
        call = judge(reasoner, view)
        top = [line.id for line in call.causes[:3]]
        good = {
            "stage": call.stage.id in row["stage"],
            "stage best": call.stage.id == row["stage"][0],
            "ride": call.ride in row["ride"],
            "first": top[0] in row["causes"],
            "third": bool(set(top) & set(row["causes"])) or not row["causes"],
            "heard": bool(view.belief.heard.heard),
        }
        for name, value in good.items():
            hits[name] += value
        if verbose and not (good["stage"] and good["ride"] and good["third"]):
            said = [
                (h.symptom[5:], h.state, round(h.certainty, 2)) for h in view.belief.heard.heard
            ]
            print(f"- {row['say']}\n    heard {said}")
            mark = "ok " if good["stage"] else "BAD"
            print(f"    {mark} stage {call.stage.id} want {row['stage']}")
            print(f"    {'ok ' if good['ride'] else 'BAD'} ride {call.ride} want {row['ride']}")
            shown = [(line.id, round(line.probability, 2)) for line in call.causes[:4]]
            print(f"    {'ok ' if good['third'] else 'BAD'} {shown} want {row['causes']}")
    print(f"{len(rows)} rows ({half})")
    for name, count in hits.items():
        print(f"{name:>12} {count / len(rows):.3f}")


if __name__ == "__main__":
    main()
