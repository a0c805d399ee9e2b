"""The open options weighed by the expected cost of the whole job, three steps ahead."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.belief.network import Floats
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.options import answered_share
from diagnose.strategy.lookahead import Option, Outlook, Situation, advise
from diagnose.strategy.policy import (
    ALIKE,
    BENCH_LEAST,
    BENCH_SHARE,
    COUNTER_LEAST,
    GENTLY_FOR_NOTHING,
    GENTLY_MISSED,
    GENTLY_WHERE_STOP,
    RIDE_AT_COUNTER,
    RIDE_RISK,
    STOP_FOR_NOTHING,
)

__all__ = ["acts_done", "weighed"]


def weighed(decision: Decision, options: Sequence[Option]) -> Outlook:
    """What each option is worth, and the one that is worth taking.

    At the bench a wrong plan costs its work and a comeback; at the counter a quote costs another
    call, and a wrong word about the ride costs more.
    """
    belief, model = decision.belief, decision.prepared.cost_model
    job, listed = belief.job, belief.hypotheses
    decisions: tuple[Floats, ...]
    if job.at == "bench":
        decisions = (model.costs(listed.present),)
        share = BENCH_SHARE if decision.sure_enough else 0.0
        least = BENCH_LEAST + share * float(decision.costs.min())
        least /= answered_share(decision.prepared.compiled, job)
    else:
        decisions = (model.misquotes(listed.present), RIDE_AT_COUNTER * ride_costs(belief))
        least = COUNTER_LEAST
    acts = acts_done(decision.prepared.knowledge, job)
    situation = Situation(listed.weights, decisions, tuple(options), acts)
    return advise(situation, least=least, alike=ALIKE[job.at])


def ride_costs(belief: Belief) -> Floats:
    """(sets, verdicts) cost of saying 'ride', 'ride gently' and 'stop riding' [currency]."""
    stop, gently = belief.prepared.ride_tables
    present = belief.hypotheses.present
    must_stop = 1.0 - np.prod(np.where(present, 1.0 - stop, 1.0), axis=1)
    gentle = 1.0 - np.prod(np.where(present, 1.0 - gently, 1.0), axis=1)
    comebacks = np.stack(
        [
            RIDE_RISK * must_stop + GENTLY_MISSED * gentle,
            GENTLY_WHERE_STOP * RIDE_RISK * must_stop + GENTLY_FOR_NOTHING * (1.0 - gentle),
            STOP_FOR_NOTHING * (1.0 - must_stop),
        ],
        axis=1,
    )
    result: Floats = belief.prepared.money.comeback * comebacks
    return result


def acts_done(knowledge: Knowledge, job: JobState) -> frozenset[str]:
    """Preparations that an earlier check has paid for."""
    return frozenset(
        check.act
        for ask, _ in job.reports
        if (check := knowledge.checks.get(ask)) is not None and check.act
    )
