"""Writes today's misses to known_misses.yaml: python -P tests/casebook/relist.py

Look at the difference before you keep it: a line that comes is a case that got worse.
"""

from __future__ import annotations

import os
import sys
from multiprocessing import get_context
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.casebook.playing import (
    CASES,
    MISSES,
    outcome,
)

HEAD = """\
# What the program does not get right today; written by: python -P tests/casebook/relist.py
# met: expectations met, of how many there are, by kind; neither may fall without saying so here.
# cases: case -> expectations missed. Pictures beside a cause card say so themselves (`missed`).
"""


def main() -> None:
    with get_context("fork").Pool(2) as pool:
        outcomes = dict(zip(CASES, pool.map(outcome, CASES, chunksize=4), strict=True))
    met: dict[str, list[int]] = {}
    for verdict in outcomes.values():
        for name, good in verdict.items():
            row = met.setdefault(name, [0, 0])
            row[0] += good
            row[1] += 1
    rows = ["met:", *(f"  {name}: [{a}, {b}]" for name, (a, b) in sorted(met.items())), "cases:"]
    for ident, verdict in outcomes.items():
        if missed := [name for name, good in verdict.items() if not good]:
            rows.append(f"  {ident}: [{', '.join(missed)}]")
    MISSES.write_text(HEAD + "\n".join(rows) + "\n", "utf-8")
    for name, (a, b) in sorted(met.items()):
        print(f"{name:>16} {a:4} of {b:4} {a / b:6.1%}")


if __name__ == "__main__":
    main()
