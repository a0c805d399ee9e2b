"""Takes misses that are met today off known_misses.yaml: python -P tests/casebook/relist.py

A ratchet: lines go by themselves, but one comes only if it is named together with its reason, as
many times as there are new misses, and only if it is missed indeed:

    relist.py --allow child_seat_clang:top3 "the mount's card was corrected and now shares the lead"

Nothing is written unless all of that holds.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Mapping
from multiprocessing import get_context
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import yaml

from tests.casebook.playing import (
    CASES,
    MISSES,
    Misses,
    known,
    outcome,
)

HEAD = """\
# What the program does not get right today: a miss a line, and why it was let in.
# Kept by python -P tests/casebook/relist.py, which says how a line comes; any line may go.
"""


class Refused(Exception):
    """What is wrong with the wish to list a miss, and what to do."""


def relisted(old: Misses, missed: Mapping[str, list[str]], allowed: Mapping[str, str]) -> Misses:
    """The list anew: what is still missed with its old reason, what is allowed with its own.

    Parameters
    ----------
    old : listed so far: case or cause -> what is missed -> reason
    missed : what is missed today, by case or cause
    allowed : reason by ``CASE:KIND``

    Raises
    ------
    Refused
        A miss is new and not allowed, or something is allowed that is met or has no reason.
    """
    today = {f"{ident}:{name}" for ident, names in missed.items() for name in names}
    was = {f"{ident}:{name}": why for ident, rows in old.items() for name, why in rows.items()}
    if idle := sorted(allowed.keys() - today):
        raise Refused(f"{', '.join(idle)}: no miss today; take it off the command line")
    if bare := sorted(key for key, why in allowed.items() if not why.strip()):
        raise Refused(f"{', '.join(bare)}: say after it, in quotes, why it is let in")
    if new := sorted(today - was.keys() - allowed.keys()):
        rows = "\n".join(f'  --allow "{key}" "why"' for key in new)
        raise Refused(f"new misses: mend them, or say of each why it is let in:\n{rows}")
    reasons = {**was, **allowed}
    return {
        ident: {name: reasons[f"{ident}:{name}"] for name in names}
        for ident, names in missed.items()
        if names
    }


def written(cases: Misses) -> str:
    """The file's text."""
    rows = yaml.safe_dump({"cases": cases}, sort_keys=False, width=1000, allow_unicode=True)
    return HEAD + rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0], allow_abbrev=False)
    parser.add_argument(
        "--allow",
        nargs=2,
        action="append",
        default=[],
        metavar=("CASE:KIND", "WHY"),
        help="let a new miss in, with its reason; may be given again",
    )
    allowed = dict(parser.parse_args().allow)
    with get_context("fork").Pool(2) as pool:
        outcomes = dict(zip(CASES, pool.map(outcome, CASES, chunksize=4), strict=True))
    met: dict[str, list[bool]] = {}
    for verdict in outcomes.values():
        for name, good in verdict.items():
            met.setdefault(name, []).append(good)
    for name, row in sorted(met.items()):
        print(f"{name:>16} {sum(row):4} of {len(row):4} {sum(row) / len(row):6.1%}")
    missed = {i: [name for name, good in row.items() if not good] for i, row in outcomes.items()}
    try:
        listed = relisted(known()["cases"], missed, allowed)
    except Refused as refusal:
        sys.exit(f"known_misses.yaml stays as it is. {refusal}")
    MISSES.write_text(written(listed), "utf-8")


if __name__ == "__main__":
    main()
