"""A change of knowledge is seen in the jobs that it touches, and nowhere else."""

from __future__ import annotations

import pytest

from diagnose.analysis.comparison import calls, compare, example_jobs
from diagnose.knowledge.loader import Knowledge, load
from diagnose.knowledge.root import knowledge_root
from diagnose.session.reasoner import Reasoner


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    return Reasoner(load(knowledge_root()))


def beside(reasoner: Reasoner, knowledge: Knowledge) -> Reasoner:
    """Another reasoner that understands words as this one does (slow to build)."""
    other = Reasoner(knowledge)
    other.recogniser = reasoner.recogniser
    return other


def test_every_example_beside_a_card_is_a_job(reasoner: Reasoner) -> None:
    jobs = example_jobs(reasoner)
    causes = reasoner.knowledge.causes.values()
    assert len(jobs) == sum(len(c.typical) + len(c.near_miss) for c in causes)
    assert not any(calls(reasoner, job)["call"].startswith("refused") for _, job in jobs[:2])


def test_the_same_knowledge_says_the_same(reasoner: Reasoner) -> None:
    assert compare(reasoner, beside(reasoner, reasoner.knowledge), example_jobs(reasoner)[:1]) == []


def test_a_softened_verdict_shows_in_the_jobs_it_touches(reasoner: Reasoner) -> None:
    """Every reason to stop taken out: a job that was stopped is not stopped any more."""
    knowledge = reasoner.knowledge
    ride = next(c.ride for c in knowledge.causes.values() if c.ride.verdict == "ride")
    causes = {n: c.model_copy(update={"ride": ride}) for n, c in knowledge.causes.items()}
    findings = {n: f.model_copy(update={"ride": {}}) for n, f in knowledge.findings.items()}
    soft = knowledge.model_copy(update={"causes": causes, "findings": findings})
    jobs = example_jobs(reasoner)
    stopped = next(row for row in jobs if calls(reasoner, row[1]).get("ride") == "stop_riding")
    found = compare(reasoner, beside(reasoner, soft), [stopped])
    changes = {change.what: change for change in found}
    assert changes["ride"].old == "stop_riding" != changes["ride"].new
    assert changes["ride"].job == stopped[0]


def test_a_job_that_is_refused_says_so(reasoner: Reasoner) -> None:
    assert calls(reasoner, {"answers": {"no_such_check": "yes"}})["call"].startswith("refused")
