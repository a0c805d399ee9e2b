"""The open options weighed by the expected cost of the whole job."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.belief.network import Floats
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.open_options import patience_left
from diagnose.strategy.lookahead import AHEAD, Option, Outlook, Situation, advise

__all__ = ["acts_done", "situation_of", "weighed"]


def weighed(decision: Decision, options: Sequence[Option]) -> Outlook:
    """What each option is worth, and the one that is worth taking.

    Nobody is asked more than patience allows: what could only be asked after that is worth nothing.
    """
    left = max(1, patience_left(decision.belief))
    return advise(situation_of(decision, options), ahead=min(AHEAD, left))


def situation_of(decision: Decision, options: Sequence[Option]) -> Situation:
    """What the next step rests on: at the counter, that a wrong word about the ride costs, too."""
    belief, model = decision.belief, decision.prepared.cost_model
    job, listed = belief.job, belief.hypotheses
    decisions: tuple[Floats, ...] = (model.wrong_calls(listed.present, job.at),)
    if job.at == "counter":
        decisions = (*decisions, ride_costs(belief))
    acts = acts_done(decision.prepared.knowledge, job)
    return Situation(listed.weights, decisions, tuple(options), acts)


def ride_costs(belief: Belief) -> Floats:
    """(sets, verdicts) cost of saying 'ride', 'ride gently' and 'stop riding' [currency]."""
    stop, gently = belief.prepared.ride_tables
    present = belief.hypotheses.present
    must_stop = 1.0 - np.prod(np.where(present, 1.0 - stop, 1.0), axis=1)
    gentle = 1.0 - np.prod(np.where(present, 1.0 - gently, 1.0), axis=1)
    money = belief.prepared.money
    result: Floats = np.stack(
        [
            money.ride_on_stop * must_stop + money.ride_on_gently * gentle,
            money.gently_on_stop * must_stop + money.gently_for_nothing * (1.0 - gentle),
            money.stop_for_nothing * (1.0 - must_stop),
        ],
        axis=1,
    )
    return result


def acts_done(knowledge: Knowledge, job: JobState) -> frozenset[str]:
    """Preparations that an earlier check has paid for."""
    return frozenset(
        check.act
        for ask, _ in job.reports
        if (check := knowledge.checks.get(ask)) is not None and check.act
    )
