"""Which questions and checks are open now, as options of the look-ahead."""

from __future__ import annotations

from dataclasses import replace

from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.floors import forbidding, same_thing
from diagnose.reasoning.options import candidates, options_for
from diagnose.strategy.lookahead import Option
from diagnose.strategy.policy import COUNTER_QUESTIONS

__all__ = ["asked_at_counter", "open_at", "open_now"]


def asked_at_counter(knowledge: Knowledge, job: JobState) -> int:
    """How many questions the counter asked, the look counted as one."""
    look = set(knowledge.pack.look)

    def counts(ask: str) -> bool:
        check = knowledge.checks.get(ask)
        return ask not in look and (check is None or check.at == "counter")

    asked = {ask for ask, _ in job.reports if counts(ask)}
    asked |= {a for a in job.unsure | set(job.skipped) if a not in look}
    looked = job.choices.look_left or any(ask in look for ask, _ in job.reports)
    return len(asked) + looked + job.choices.words_left


def open_now(belief: Belief) -> list[Option]:
    """What may be asked or done where the job is."""
    job = belief.job
    if job.at == "counter" and (
        asked_at_counter(belief.prepared.knowledge, job) >= COUNTER_QUESTIONS
    ):
        return []
    return open_at(belief, job.at)


def open_at(belief: Belief, at: str, *, gated: bool = True) -> list[Option]:
    """What may be asked or done at the counter or at the bench.

    ``gated``: what is forbidden now is left out.
    """
    prepared = belief.prepared
    knowledge, job = prepared.knowledge, replace(belief.job, at=at)
    trapped: set[str] | None = None
    signs = belief.signs if gated else []
    if signs:
        found = same_thing(knowledge, signs)
        trapped = {check for sign in signs for check in sign.lifts}
        trapped |= {
            c.id for c in knowledge.checks.values() if c.at == "bench" and c.observes in found
        }
    cards = candidates(
        prepared.compiled,
        job,
        belief.items,
        stop=gated and belief.ride.stop >= knowledge.pack.stop_at,
        trapped=trapped,
        fill=not gated or not forbidding(belief.floors, "fill"),
        shop_has=prepared.shop_has,
    )
    # What tells of several findings is worth the most that it tells of one.
    views = [
        card if finding == card.observes else card.model_copy(update={"observes": finding})
        for card in cards
        for finding in card.findings
    ]
    return options_for(
        prepared.compiled, views, belief.hypotheses, belief.evidence, job, prepared.money
    )
