"""Report and learning over many jobs: ``python -P tests/benchmarks/shop.py [--jobs N]``.

Fills a job file with invented closed jobs (two stored judgements of eight causes each), then runs
the commands as a person does; seconds, those of the processor, and the most memory so far.
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
import uuid
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.knowledge.loader import Knowledge, load
from diagnose.records.exchange import take_in
from diagnose.records.places import JOB_FILE, open_store
from diagnose.records.store import StoredJob
from diagnose.session.events import Answered, Closed, Complained, Event, Judged, Opened

TOP = Path(__file__).resolve().parents[2]


def jobs(count: int, knowledge: Knowledge) -> Iterator[StoredJob]:
    """Invented closed jobs of ten events."""
    chance = random.Random(1)
    causes, stages = list(knowledge.causes), list(knowledge.stages)
    checks = list(knowledge.checks)
    for number in range(count):
        day = f"{2010 + number // 5000}-{1 + number % 12:02d}-{1 + number % 28:02d}T09:00:00"
        lines = [{"id": c, "probability": 0.1} for c in chance.sample(causes, 8)]
        stage = {"id": chance.choice(stages), "minutes": 40.0, "parts": 10.0}
        said = {"stage": stage, "causes": lines}
        events: list[Event] = [
            Opened(pack="rear_air_shock", knowledge="f00d", time=day, person="AB"),
            Complained(text=f"sinks overnight, tag {number}", time=day),
            Judged(judgement=said, time=day),
            *(Answered(ask=c, state="no", by="bench") for c in chance.sample(checks, 5)),
            Judged(judgement=said, time=day),
            Closed(found=[str(lines[0]["id"])], stage=str(stage["id"]), minutes=45, time=day),
        ]
        yield StoredJob(f"{day[5:7]}{day[8:10]}-{number:06d}", uuid.uuid4().hex, False, events)


def main() -> None:
    """Fill a file and time the commands."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--jobs", type=int, default=100_000)
    count = options.parse_args().jobs
    with tempfile.TemporaryDirectory() as folder:
        with open_store(Path(folder) / JOB_FILE) as store:
            take_in(store, jobs(count, load(TOP / "knowledge")))
        environment = {**os.environ, "DIAGNOSE_HOME": folder, "PYTHONPATH": str(TOP)}
        base = [sys.executable, "-P", "-m", "diagnose", "jobs"]
        page = str(Path(folder) / "report.html")
        for words in (["list"], ["learn"], ["report", "--html", page]):
            for _ in range(2):  # the second time the knowledge is compiled
                start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
                subprocess.run([*base, *words], env=environment, check=True, capture_output=True)
                took = time.perf_counter() - start
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            work = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            most = after.ru_maxrss / 1024
            print(
                f"{count} jobs, jobs {words[0]}: {took:.2f} s, {work:.2f} s of the processor, "
                f"most memory so far {most:.0f} MB",
                flush=True,
            )


if __name__ == "__main__":
    main()
