"""A change of knowledge is seen in the jobs that it touches, and nowhere else."""

from __future__ import annotations

from diagnose.analysis.comparison import Change, calls, compare
from diagnose.analysis.written import Caller, written_jobs
from tests.real_pack import shop_knowledge

CALLER = Caller(shop_knowledge())


def test_only_what_differs_is_a_change() -> None:
    before = {"call": "a", "ride": "ride", "cautions": "x, y"}
    after = {"call": "a", "ride": "stop_riding", "next step": "done"}
    assert compare("job", before, after) == [
        Change("job", "ride", "ride", "stop_riding"),
        Change("job", "cautions", "x, y", "-"),
        Change("job", "next step", "-", "done"),
    ]
    assert compare("job", before, before) == []


def test_a_softened_verdict_shows_in_the_jobs_it_touches() -> None:
    """Every reason to stop taken out: a job that was stopped is not stopped any more."""
    knowledge = CALLER.knowledge
    ride = next(c.ride for c in knowledge.causes.values() if c.ride.verdict == "ride")
    causes = {n: c.model_copy(update={"ride": ride}) for n, c in knowledge.causes.items()}
    soft = CALLER.beside(knowledge.model_copy(update={"causes": causes, "floors": []}))
    stopped, told = next(
        (row, said)
        for row in written_jobs(knowledge)
        if (said := calls(CALLER, row.job)).get("ride") == "stop_riding"
    )
    changes = {c.what: c for c in compare(stopped.name, told, calls(soft, stopped.job))}
    assert changes["ride"].old == "stop_riding" != changes["ride"].new
    assert changes["ride"].job == stopped.name


def test_a_job_that_is_refused_says_so() -> None:
    assert calls(CALLER, {"answers": {"no_such_check": "yes"}})["call"].startswith("refused")
