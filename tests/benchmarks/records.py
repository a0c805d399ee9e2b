"""The store at scale: ``python -P tests/benchmarks/records.py [--jobs N] [--place FILE or URL]``.

Fills a store with closed jobs as they come from a day's work (judgements shortened to what a report
reads), then lists, searches, adds to one and reads all of them; seconds, and the most memory used.
Stands in for a shop of twenty years; the jobs are invented.
"""

from __future__ import annotations

import argparse
import random
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.job.events import (
    Answered,
    Closed,
    Complained,
    Event,
    HandedOver,
    Judged,
    Measured,
    Opened,
)
from diagnose.records.places import open_store
from tests.benchmarks.filling import TAG, day_of, fill

WORDS = ["sinks", "overnight", "oil", "shaft", "clunks", "top", "harsh", "slow", "spongy", "soft"]
STAGES = ["no_service", "air_can_service", "damper_service", "full_service"]


def job(number: int, chance: random.Random) -> list[Event]:
    """An invented job of sixteen events."""
    day = day_of(number)
    person = chance.choice(["AB", "CD", "EF"])
    stage = chance.choice(STAGES)
    words = " ".join(chance.choices(WORDS, k=15))
    said = {
        "stage": {"id": stage, "expected_cost": 80.0, "minutes": 45},
        "causes": [{"id": f"cause_{n}", "probability": 0.1} for n in range(8)],
    }
    return [
        Opened(pack="rear_air_shock", knowledge="f00d" * 8, time=day, person=person),
        Complained(text=f"{words}, {TAG}", time=day, person=person),
        *(
            Answered(ask=f"symptom_{n}", state="yes", time=day, person=person)
            for n in chance.sample(range(40), 6)
        ),
        Judged(judgement=said, time=day, person=person),
        HandedOver(to="GH", time=day, person=person),
        *(
            Measured(ask=f"check_{n}", readings={"first": "165 psi"}, time=day, person="GH")
            for n in range(4)
        ),
        Judged(judgement=said, time=day, person="GH"),
        Closed(found=["cause_1"], stage=stage, minutes=40, cured=True, time=day, person="GH"),
    ]


def timed(name: str, work: Callable[[], object], times: int = 7) -> None:
    """Print the median and the longest of several runs."""
    seconds = []
    for _ in range(times):
        begin = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - begin)
    print(f"{name:<44} {statistics.median(seconds):8.4f} s   longest {max(seconds):8.4f} s")


def main() -> None:
    """Fill, measure, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=100_000)
    parser.add_argument("--place", default="")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = options.place or str(Path(folder) / "jobs.sqlite3")
        store = open_store(place)
        chance = random.Random(1)

        def one(number: int) -> list[Event]:
            return job(number, chance)

        timed(f"fill in {options.jobs} jobs", lambda: fill(store, options.jobs, one), 1)
        if not options.place:
            print(f"{'file':<44} {Path(place).stat().st_size / 1e6:8.0f} MB")
        store.close()
        timed("open", lambda: open_store(place).close())
        store = open_store(place)
        timed("list the last 50", store.find)
        timed("list 50 closed", lambda: store.find(state="closed"))
        timed("search, many found", lambda: store.find(search="oil shaft"))
        timed("search, one found", lambda: store.find(search=f"tag{options.jobs // 2}"))
        timed("search, none found", lambda: store.find(search="elephant"))
        timed("search of one person, none found", lambda: store.find(search="oil", person="ZZ"))

        name = store.create("2031-04-12T09:00:00", first=[Opened(pack="p", knowledge="k")])
        count = iter(range(1, 1000))
        answer = Answered(ask="a", state="b")
        timed("one answer, durable", lambda: store.append(name, next(count), [answer]), 60)
        timed("read what came of every closed job", lambda: sum(1 for _ in store.outcomes()), 1)
        timed("read every event", lambda: sum(len(job.events) for job in store.all_jobs()), 1)
        store.close()
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
    print(f"{'most memory used':<44} {most:8.0f} MB")


if __name__ == "__main__":
    main()
