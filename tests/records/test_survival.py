"""Killed at any moment, and eight at once: what was acknowledged is there."""

from __future__ import annotations

import os
import random
import signal
import time
from itertools import count
from pathlib import Path

import pytest

from diagnose.job.events import Answered
from diagnose.records.places import open_store
from tests.records.examples import DAY, add_stubbornly, answer, child, opened, said

#: rounds on one file before the next is begun: killed while it is made, and when it has grown
ROUNDS_A_FILE = 10


def write_until_killed(place: Path, pipe: int) -> None:
    """Begin a job and add to it without end, saying after each return what was acknowledged."""
    with open_store(place) as store:
        job = store.create(DAY, first=[opened()])
        os.write(pipe, f"{job} 1\n".encode())
        for number in count(1):
            known = store.append(job, number, [answer(number)])
            os.write(pipe, f"{job} {known}\n".encode())


def kill_and_compare(folder: Path, rounds: int, seed: int) -> int:
    """Kill one writer a round; the number of acknowledged events, all of them found again."""
    chance = random.Random(seed)
    acknowledged: dict[tuple[Path, str], int] = {}
    for number in range(rounds):
        place = folder / f"jobs{number // ROUNDS_A_FILE}.sqlite3"
        pid, pipe = child(lambda pipe, place=place: write_until_killed(place, pipe))  # type: ignore[misc]
        heard = b""
        if number % 2:
            # In the middle of its work, however slow the machine is.
            while heard.count(b"\n") < 1 + number % 7:
                heard += os.read(pipe, 1)
            time.sleep(chance.uniform(0.0, 0.015))
        else:
            time.sleep(chance.uniform(0.0, 0.1))
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        for line in (heard.decode() + said(pipe)).splitlines():
            job, known = line.split()
            acknowledged[place, job] = int(known)
        with open_store(place) as store:
            for (where, job), known in acknowledged.items():
                if where == place:
                    events = store.load(job)
                    assert known <= len(events) <= known + 1
                    assert events == [opened(), *map(answer, range(1, len(events)))]
    for place in {place for place, _ in acknowledged}:
        with open_store(place) as store:
            assert store.verify() == []
    return sum(acknowledged.values())


def test_killed_at_random_moments(tmp_path: Path) -> None:
    assert kill_and_compare(tmp_path, 40, seed=1) > 40


@pytest.mark.long
def test_killed_at_random_moments_over_a_thousand_jobs(tmp_path: Path) -> None:
    total = kill_and_compare(tmp_path, 1000, seed=2)
    print(f"{total} acknowledged events, none lost")
    assert total > 1000


def test_eight_writers_at_once(place: str | Path) -> None:
    with open_store(place) as store:
        shared = store.create(DAY, first=[opened()])
    people = [f"P{number}" for number in range(8)]

    def work(person: str) -> None:
        with open_store(place, patience=60) as own:
            job = own.create(DAY, first=[opened(person)])
            for number in range(10):
                own.append(job, number + 1, [answer(number, person)])
        add_stubbornly(place, shared, person, 5)

    children = [child(lambda _pipe, person=person: work(person)) for person in people]  # type: ignore[misc]
    for pid, pipe in children:
        assert said(pipe) == ""
        assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0

    with open_store(place) as store:
        events = store.load(shared)
        assert len(events) == 1 + 8 * 5
        for person in people:
            own = [e.ask for e in events if isinstance(e, Answered) and e.person == person]
            assert own == [f"ask_{number}" for number in range(5)]
        jobs = store.find(limit=20)
        assert sorted(job.job for job in jobs) == [f"0412-{number:02d}" for number in range(1, 10)]
        assert sorted(job.count for job in jobs) == [11] * 8 + [41]
        assert store.verify() == []
