"""What a change of knowledge does to jobs: which calls, first questions and cautions are others."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.errors import DiagnoseError
from diagnose.session.job_input import events_of
from diagnose.session.judgement import Judgement, judge
from diagnose.session.reasoner import Reasoner
from diagnose.session.state import fold

__all__ = ["Change", "calls", "compare", "example_jobs"]

#: name -> job as `assess` takes it
Jobs = Iterable[tuple[str, Mapping[str, Any]]]


@dataclass(frozen=True)
class Change:
    """One thing that is said otherwise of one job: as it was and as it is."""

    job: str
    what: str
    old: str
    new: str


def example_jobs(reasoner: Reasoner) -> list[tuple[str, dict[str, Any]]]:
    """The small pictures beside the cause cards, as jobs at the bench."""
    rows = []
    for cause in reasoner.knowledge.causes.values():
        for kind, examples in (("typical", cause.typical), ("near miss", cause.near_miss)):
            for n, example in enumerate(examples, 1):
                job = {
                    "at": "bench",
                    "complaint": example.complaint,
                    "shock": dict(example.shock),
                    "answers": dict(example.answers),
                }
                rows.append((f"{cause.id} {kind} {n}", job))
    return rows


def compare(old: Reasoner, new: Reasoner, jobs: Jobs) -> list[Change]:
    """Every difference, job by job; a job that one of them refuses differs in its call.

    Cost depends on money and learned rates alone and is left out.
    """
    changes = []
    for name, job in jobs:
        before, after = calls(old, job), calls(new, job)
        changes += [
            Change(name, what, before.get(what, "-"), after.get(what, "-"))
            for what in dict.fromkeys((*before, *after))
            if before.get(what) != after.get(what)
        ]
    return changes


def calls(reasoner: Reasoner, job: Mapping[str, Any]) -> dict[str, str]:
    """What is compared of one job: call, ride, next step, cautions in their order."""
    try:
        events, _ = events_of(job, reasoner.knowledge)
        judgement = judge(reasoner, reasoner.view(fold(events)))
    except DiagnoseError as error:
        return {"call": f"refused: {error.what}"}
    return _said(judgement)


def _said(judgement: Judgement) -> dict[str, str]:
    stages = [judgement.stage.id, *(line.id for line in judgement.also_stages)]
    step = judgement.next_step
    return {
        "call": " + ".join(stages),
        "ride": judgement.ride,
        "next step": step.id or step.kind,
        "cautions": ", ".join(line.id for line in judgement.cautions),
    }
