"""Which questions and checks are open now, as options of the look-ahead.

Rules
-----
- After so many questions as the shop's patience goes (`Economics.patience`) none is open, but what
  settles a sign.
"""

from __future__ import annotations

import math
from dataclasses import replace

from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check, Frame, FrameRow, Symptom
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.floors import forbidding, same_thing
from diagnose.reasoning.options import candidates, options_for, rows_of
from diagnose.strategy.lookahead import Option

__all__ = [
    "asked_at_bench",
    "asked_at_counter",
    "open_at",
    "open_now",
    "open_rows",
    "patience_left",
]


def asked_at_counter(knowledge: Knowledge, job: JobState) -> int:
    """How many questions the counter asked, the look counted as one."""
    look = set(knowledge.pack.look)

    def counts(ask: str) -> bool:
        check = knowledge.checks.get(ask)
        return ask not in look and (check is None or check.at == "counter")

    asked = {ask for ask, _ in job.reports if counts(ask)}
    asked |= {a for a in job.unsure | set(job.skipped) if a not in look}
    asked = _as_questions(knowledge, asked)
    looked = job.choices.look_left or any(ask in look for ask, _ in job.reports)
    return len(asked) + looked + job.choices.words_left + job.asked_for_more


def asked_at_bench(knowledge: Knowledge, job: JobState) -> int:
    """How many checks and looks the bench made, and checks that it tried to make."""
    checks = knowledge.checks
    tried = {a for a in job.unsure | set(job.skipped) if a in checks and checks[a].at == "bench"}
    made = {ask for (ask, _), report in job.reports.items() if report.number > job.came_at}
    return len(_as_questions(knowledge, made | tried))


def _as_questions(knowledge: Knowledge, asks: set[str]) -> set[str]:
    """The same with the rows of a frame question counted as one."""
    framed = {row.ask: frame.id for frame in knowledge.frames.values() for row in frame.rows}
    return {framed.get(ask, ask) for ask in asks}


def patience_left(belief: Belief) -> int:
    """How many more questions or checks the patience where the job is allows."""
    job = belief.job
    asked = (asked_at_counter if job.at == "counter" else asked_at_bench)(
        belief.prepared.knowledge, job
    )
    return math.ceil(belief.prepared.money.patience.at(job.at) - asked)


def open_now(belief: Belief) -> list[Option]:
    """What may be asked or done where the job is."""
    job = belief.job
    options = open_at(belief, job.at)
    if patience_left(belief) > 0:
        return options
    settling = {check for floor in belief.floors for check in floor.lifts}
    return [option for option in options if option.id in settling] if job.at == "bench" else []


def open_at(belief: Belief, at: str, *, gated: bool = True) -> list[Option]:
    """What may be asked or done at the counter or at the bench.

    ``gated``: what is forbidden now is left out.
    """
    prepared, job = belief.prepared, replace(belief.job, at=at)
    return options_for(
        prepared.compiled,
        _cards(belief, job, gated),
        belief.hypotheses,
        list(zip(belief.evidences, (a.hidden for a in belief.accounts), strict=True)),
        job,
        prepared.money,
        _spoken(belief),
    )


def open_rows(belief: Belief, frame: Frame) -> list[FrameRow]:
    """The answers of a frame question that may still be given."""
    cards = _cards(belief, belief.job, gated=True)
    spoken = _spoken(belief)
    return rows_of(
        frame, {c.id for c in cards if not (isinstance(c, Symptom) and c.observes in spoken)}
    )


def _spoken(belief: Belief) -> set[str]:
    return {item.finding for item in belief.items if item.by == "customer"}


def _cards(belief: Belief, job: JobState, gated: bool) -> list[Symptom | Check]:
    prepared, knowledge = belief.prepared, belief.prepared.knowledge
    trapped: set[str] | None = None
    signs = belief.signs if gated else []
    if signs:
        found = same_thing(knowledge, signs)
        trapped = {check for sign in signs for check in sign.lifts}
        trapped |= {
            c.id for c in knowledge.checks.values() if c.at == "bench" and c.observes in found
        }
    return candidates(
        prepared.compiled,
        job,
        belief.items,
        trapped=trapped,
        load=not gated or belief.may_be_loaded,
        fill=not gated or not forbidding(belief.floors, "fill"),
        shop_has=prepared.shop_has,
    )
