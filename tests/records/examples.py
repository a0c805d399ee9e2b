"""Invented jobs, and a child process to be killed, for the tests of the store."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from diagnose.job.events import Answered, Closed, Complained, Described, Event, Judged, Opened
from diagnose.records.faults import Conflict
from diagnose.records.places import open_store
from diagnose.records.store import JobStore

DAY = "2031-04-12T09:00:00"


def opened(person: str = "AB", time: str = DAY) -> Opened:
    return Opened(pack="a_pack", knowledge="f00d", person=person, time=time)


def answer(number: int, person: str = "AB") -> Answered:
    return Answered(ask=f"ask_{number}", state="yes", person=person, time=DAY)


def whole_job(number: int, *, closed: bool = True) -> list[Event]:
    """A job of a dozen events; its judgement is too long for one page of a file."""
    judgement = {
        "stage": {"id": "small_service"},
        "symptoms": [{"id": "sinks", "state": "yes", "words": f"sinks overnight {number}"}],
        "causes": [{"id": f"cause_{n}", "probability": n / 100} for n in range(90 + number % 60)],
    }
    events: list[Event] = [
        opened(),
        Described(shock={"stroke_mm": 55, "history": f"bought used in town {number}"}),
        Complained(text=f"Sinks overnight, number{number}, Öl am Schaft"),
        *(answer(n) for n in range(6)),
        Judged(judgement=judgement),
    ]
    if closed:
        events.append(Closed(found=["worn_seal"], stage="small_service", minutes=40, cured=True))
    return events


def filled(store: JobStore, count: int) -> dict[str, list[Event]]:
    """Enter whole jobs; every third stays open."""
    jobs = [whole_job(number, closed=number % 3 != 0) for number in range(count)]
    return {store.create(DAY, first=events): events for events in jobs}


def child(work: Callable[[int], None]) -> tuple[int, int]:
    """Run work(pipe) in a process of its own; (process id, end of the pipe to read)."""
    read, write = os.pipe()
    pid = os.fork()
    if pid == 0:
        status = 1
        try:
            os.close(read)
            work(write)
            status = 0
        finally:
            os._exit(status)  # never back into the test run
    os.close(write)
    return pid, read


def said(pipe: int) -> str:
    """All that a child has written."""
    with os.fdopen(pipe) as file:
        return file.read()


def add_stubbornly(place: str | Path, job: str, person: str, times: int) -> None:
    """Add answers to a job that others add to as well."""
    with open_store(place, patience=60) as store:
        for number in range(times):
            while True:
                try:
                    store.append(job, len(store.load(job)), [answer(number, person)])
                    break
                except Conflict:
                    continue
