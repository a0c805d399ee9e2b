"""What a change of knowledge does to jobs: which calls, first questions and cautions are others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.errors import DiagnoseError
from diagnose.job.events import Event
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["Change", "calls", "compare", "said_of"]


@dataclass(frozen=True)
class Change:
    """One thing that is said otherwise of one job: as it was and as it is."""

    job: str
    what: str
    old: str
    new: str


def compare(name: str, before: Mapping[str, str], after: Mapping[str, str]) -> list[Change]:
    """Every difference between what was and what is said of one job.

    Cost depends on money and learned rates alone and is left out.
    """
    return [
        Change(name, what, before.get(what, "-"), after.get(what, "-"))
        for what in dict.fromkeys((*before, *after))
        if before.get(what) != after.get(what)
    ]


def calls(reasoner: Reasoner, job: Mapping[str, Any]) -> dict[str, str]:
    """What is compared of one job: call, ride, next step, cautions in their order."""
    try:
        events, _ = events_of(job, reasoner.knowledge)
    except DiagnoseError as error:
        return {"call": f"refused: {error.what}"}
    return said_of(reasoner, events)


def said_of(reasoner: Reasoner, events: Sequence[Event]) -> dict[str, str]:
    """The same of a job that is kept as events."""
    try:
        judgement = judge(reasoner, reasoner.view(fold(events)))
    except DiagnoseError as error:
        return {"call": f"refused: {error.what}"}
    stages = [judgement.stage.id, *(line.id for line in judgement.also_stages)]
    step = judgement.next_step
    return {
        "call": " + ".join(stages),
        "ride": judgement.ride,
        "next step": step.id or step.kind,
        "cautions": ", ".join(line.id for line in judgement.cautions),
    }
