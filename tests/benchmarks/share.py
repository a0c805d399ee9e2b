"""Is a change of the knowledge one? The same answers, judged before and after it.

python -P tests/benchmarks/share.py keep FILE FOLDER..    plays truth sheets, keeps the answers
python -P tests/benchmarks/share.py judge FILE FOLDER..   judges them, with the tree as it is

A play is a chain of choices: whatever touches many numbers moves a tenth of all jobs either way,
and hits of a few hundred tell nothing. Kept answers are judged without that noise. Printed is, by
desk, the mean log share of the outcomes that a foreman would accept (natural logarithm; 0 is
certain and right; a share below `_LEAST` counts as that), over the sheets that may be opened.
"""

from __future__ import annotations

import argparse
import json
import math
import statistics
import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.job.events import EVENT, Event
from diagnose.job.state import fold
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.reasoner import Reasoner
from tests.benchmarks.truth import Sheet, play, sheets_of
from tests.real_pack import shop_reasoner

_LEAST = 0.005


def share(decision: Decision, sheet: Sheet) -> float:
    """Chance of the plans that begin with an accepted outcome, or hold both of two."""
    wanted, also = set(sheet.stage), set(sheet.also)
    plans = decision.prepared.cost_model.plans
    return sum(
        float(chance)
        for chance, plan in zip(decision.shares, plans, strict=True)
        if plan.stages[0] in wanted or (wanted & {*plan.stages} and also & {*plan.stages})
    )


def kept(reasoner: Reasoner, sheets: Iterable[Sheet]) -> Iterator[str]:
    """A line of JSON for each desk of each sheet."""
    for sheet in sheets:
        for desk, events in play(reasoner, sheet).ends.items():
            told = [EVENT.dump_python(event, mode="json") for event in events]
            yield json.dumps({"sheet": sheet.id, "desk": desk, "events": told})


def judged(reasoner: Reasoner, lines: Iterable[str], sheets: Sequence[Sheet]) -> str:
    """Mean log share by desk."""
    by_id = {sheet.id: sheet for sheet in sheets}
    shut = reasoner.knowledge.device.stages.shut
    logs: dict[str, list[float]] = {}
    for line in lines:
        row = json.loads(line)
        sheet = by_id.get(row["sheet"])
        if sheet is None or shut in sheet.stage:
            continue
        events: list[Event] = [EVENT.validate_python(event) for event in row["events"]]
        chance = share(reasoner.view(fold(events)).decision, sheet)
        logs.setdefault(row["desk"], []).append(math.log(max(chance, _LEAST)))
    return "\n".join(f"{d}: {statistics.mean(v):.4f} over {len(v)}" for d, v in logs.items())


def main(arguments: Sequence[str]) -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("what", choices=["keep", "judge"])
    parser.add_argument("file", type=Path)
    parser.add_argument("folders", nargs="+", type=Path)
    wanted = parser.parse_args(arguments)
    reasoner = shop_reasoner()
    sheets = [sheet for folder in wanted.folders for sheet in sheets_of(folder)]
    if wanted.what == "keep":
        wanted.file.write_text("\n".join(kept(reasoner, sheets)) + "\n", "utf-8")
    else:
        print(judged(reasoner, wanted.file.read_text("utf-8").splitlines(), sheets))


if __name__ == "__main__":
    main(sys.argv[1:])
