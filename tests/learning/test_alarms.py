"""Alarms: found and never expected, expected and never found, and quiet where all is as said."""

from __future__ import annotations

import numpy as np

from diagnose.belief.compiled import UNLISTED
from diagnose.learning.alarms import alarms
from diagnose.learning.outcome import NOT_LOOKED, Outcome


def seen(job: str, believed: dict[str, float], *found: str) -> tuple[str, Outcome]:
    return job, Outcome(believed=believed, found=found)


def test_found_again_and_again_and_never_expected() -> None:
    jobs = [seen(f"0101-{n:02d}", {"a": 0.9, "b": 0.01}, "b") for n in range(3)]
    assert ("never_expected", "b") in [(a.kind, a.cause) for a in alarms(jobs)]
    assert alarms(jobs)[0].jobs == ("0101-00", "0101-01", "0101-02")


def test_expected_in_fifty_jobs_and_never_found() -> None:
    jobs = [seen(f"{n}", {"a": 0.5}) for n in range(50)]
    (alarm,) = alarms(jobs)
    assert (alarm.kind, alarm.cause, alarm.found) == ("too_few", "a", 0)
    assert alarm.expected == 25.0


def test_silent_where_causes_are_found_as_often_as_said() -> None:
    rng = np.random.default_rng(3)
    jobs = []
    for n in range(400):
        believed = {f"c{k}": float(p) for k, p in enumerate(rng.dirichlet(np.ones(6)))}
        found = rng.choice(list(believed), p=list(believed.values()))
        jobs.append(seen(f"{n}", believed, str(found)))
    assert alarms(jobs) == []


def test_nobody_looked_is_no_alarm_and_none_of_these_is_never_expected() -> None:
    unlooked = [seen(f"{n}", {"a": 0.9}, NOT_LOOKED) for n in range(50)]
    assert alarms(unlooked) == []
    unlisted = [seen(f"{n}", {UNLISTED: 0.02}, UNLISTED) for n in range(3)]
    assert "never_expected" not in [a.kind for a in alarms(unlisted)]
