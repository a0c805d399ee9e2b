"""What is asked although nothing pays for itself.

While the right plan is still open, and before anything is opened on other people's words alone.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diagnose.belief.network import Floats
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.open_options import asked_at_counter
from diagnose.reasoning.options import answered_share
from diagnose.strategy.lookahead import Option
from diagnose.strategy.policy import CONFIRM_PRICE, CONFIRM_TRIES, OPEN
from diagnose.strategy.telling import bits_told

__all__ = ["ask_on", "told_of_plan"]


def told_of_plan(decision: Decision, options: Sequence[Option]) -> tuple[Floats, Floats]:
    """(options,) bits that each tells of the right outcomes, and its whole price [currency]."""
    listed = decision.belief.hypotheses
    right = decision.prepared.cost_model.right_stages(listed.present)
    prices = np.array([option.price + option.act_price for option in options])
    return bits_told(listed.weights, right, options), prices


def ask_on(decision: Decision, options: Sequence[Option]) -> str | None:
    """The question that tells most of the right plan for its price, while it is still open."""
    if not options:
        return None
    job, knowledge = decision.belief.job, decision.prepared.knowledge
    listed = decision.belief.hypotheses
    told, prices = told_of_plan(decision, options)
    told = told * answered_share(decision.prepared.compiled, job)
    if job.at == "bench" and _unconfirmed(decision):
        own = np.array([_at_bench(knowledge, option.id) for option in options])
        told_cheaply = np.where(own & (prices <= CONFIRM_PRICE), told, 0.0)
        if told_cheaply.max() > 0.0:
            return options[int(np.argmax(told_cheaply))].id
    right = decision.prepared.cost_model.right_stages(listed.present)
    share = float(np.bincount(right, weights=listed.weights).max())
    here = OPEN[job.at]
    if share >= here.sure or _asked(knowledge, job) >= here.most:
        return None
    worth = np.where(told >= here.bits, told / (prices + 1.0), 0.0)
    return options[int(np.argmax(worth))].id if worth.max() > 0.0 else None


def _at_bench(knowledge: Knowledge, ask: str) -> bool:
    return ask in knowledge.checks and knowledge.checks[ask].at == "bench"


def _asked(knowledge: Knowledge, job: JobState) -> int:
    """Questions asked so far where the job is; at the bench, checks besides the look."""
    if job.at == "counter":
        return asked_at_counter(knowledge, job)
    asked = sum(by == "bench" or ask in knowledge.checks for ask, by in job.reports)
    asked += sum(ask in knowledge.checks for ask in (*job.unsure, *job.skipped))
    return asked - len(knowledge.pack.look)


def _unconfirmed(decision: Decision) -> bool:
    """The plan opens something and the bench has not looked for itself, nor tried in vain."""
    belief = decision.belief
    tried = [ask for ask, by in belief.job.reports if by == "bench"] + [
        ask
        for ask in (*belief.job.unsure, *belief.job.skipped)
        if ask in decision.prepared.knowledge.checks
    ]
    looked = any(item.by == "bench" for item in belief.items)
    return decision.opens and not looked and len(tried) < CONFIRM_TRIES
