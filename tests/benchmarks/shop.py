"""Report and learning over many jobs: ``python -P tests/benchmarks/shop.py [--jobs N]``.

Fills a job file with invented closed jobs (two stored judgements of eight causes each), then runs
the commands as a person does; the shortest of a few runs in seconds, seconds of the processor, and
the most memory so far.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.job.events import Answered, Closed, Complained, Event, Judged, Opened
from diagnose.knowledge.loader import Knowledge, load
from diagnose.learning.outcome import NOT_LOOKED
from diagnose.records.places import JOB_FILE, open_store
from tests.benchmarks.filling import TAG, day_of, fill

TOP = Path(__file__).resolve().parents[2]


def maker(knowledge: Knowledge) -> Callable[[int], list[Event]]:
    """Makes invented closed jobs of ten events."""
    chance = random.Random(1)
    causes, stages = list(knowledge.causes), list(knowledge.stages)
    checks = list(knowledge.checks.values())

    def make(number: int) -> list[Event]:
        day = day_of(number)
        lines = [{"id": c, "probability": 0.1} for c in chance.sample(causes, 8)]
        stage = {"id": chance.choice(stages), "minutes": 40.0, "parts": 10.0}
        said = {"stage": stage, "causes": lines}
        # Most jobs have one cause, some two; in some nobody looked, and the stage cured it.
        found = [str(line["id"]) for line in lines[: chance.choice([1] * 8 + [2])]]
        if number % 10 == 0:
            found = [NOT_LOOKED]
        return [
            Opened(pack="rear_air_shock", knowledge="f00d", time=day, person="AB"),
            Complained(text=f"sinks overnight, {TAG}", time=day),
            Judged(judgement=said, time=day),
            *(
                Answered(ask=card.id, state=chance.choice(card.answers).state, by="bench")
                for card in chance.sample(checks, 5)
            ),
            Judged(judgement=said, time=day),
            Closed(found=found, stage=str(stage["id"]), minutes=45, cured=True, time=day),
        ]

    return make


def main() -> None:
    """Fill a file and time the commands."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--jobs", type=int, default=100_000)
    count = options.parse_args().jobs
    with tempfile.TemporaryDirectory() as folder:
        with open_store(Path(folder) / JOB_FILE) as store:
            fill(store, count, maker(load(TOP / "knowledge")))
        environment = {**os.environ, "DIAGNOSE_HOME": folder, "PYTHONPATH": str(TOP)}
        base = [sys.executable, "-P", "-m", "diagnose", "jobs"]
        for words in (
            ["list"],
            ["list", "--search", f"tag{count // 2}"],
            ["list", "--search", "sinks overnight"],
            ["learn"],
            ["report", "--html", "report.html"],
        ):
            walls, works = [], []
            for _ in range(5 if words[0] == "list" else 2):  # from the second, with warm caches
                start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
                subprocess.run(
                    [*base, *words], cwd=folder, env=environment, check=True, capture_output=True
                )
                walls.append(time.perf_counter() - start)
                after = resource.getrusage(resource.RUSAGE_CHILDREN)
                works.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
            print(
                f"{count} jobs, jobs {' '.join(words)}: {min(walls):.2f} s, "
                f"{min(works):.2f} s of the processor, "
                f"most memory so far {after.ru_maxrss / 1024:.0f} MB",
                flush=True,
            )


if __name__ == "__main__":
    main()
