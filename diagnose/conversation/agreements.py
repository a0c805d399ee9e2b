"""What the customer was told and answered: a quote, an agreement, a refusal.

Rules
-----
- Without stages or small jobs it is about what was last quoted, else about the plan as it is
  judged now.
- The limit of an agreement is the one that was quoted, else the price not to pass without a call.
- Where nothing can be offered, nothing is recorded.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.errors import InputError, RefusedError
from diagnose.job.events import Approved, Event, Quoted
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.nearest import nearest
from diagnose.reasoning.judgement import Judgement, judge
from diagnose.reasoning.pricing import price_now
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["approve", "decline", "limit_of", "quote", "quoted_words", "stages_named"]

#: more than any job costs [currency]
_TOO_MUCH = 100_000


def quote(
    reasoner: Reasoner,
    job: JobState,
    stamp: Mapping[str, Any],
    *,
    stages: Sequence[str] = (),
    price: float | None = None,
    up_to: float | None = None,
    told: str = "",
) -> list[Event]:
    """The customer was asked; it waits for the answer.

    Parameters
    ----------
    stages : by id, small jobs among them; none: see the rules. price, up_to : what was named
    [currency]; of a plan as judged they follow from it. told : what else was said.

    Raises
    ------
    InputError : a price that cannot be. RefusedError : there is nothing to offer.
    """
    if not stages:
        told_of = _judged(reasoner, job).range
        price = told_of.price if price is None else price
        up_to = max(told_of.call_before, price) if up_to is None else up_to
    return [
        Quoted(
            stages=_stages(reasoner, job, stages),
            price=_money(price, "price"),
            up_to=_money(up_to, "up to"),
            told=told,
            **stamp,
        )
    ]


def approve(
    reasoner: Reasoner,
    job: JobState,
    stamp: Mapping[str, Any],
    *,
    stages: Sequence[str] = (),
    up_to: float | None = None,
    told: str = "",
) -> list[Event]:
    """The customer agrees; parameters and errors as in `quote`."""
    if up_to is None and not stages:
        up_to = job.quoted.up_to if job.quoted else _judged(reasoner, job).range.call_before
    agreed = _stages(reasoner, job, stages)
    return [Approved(stages=agreed, up_to=_money(up_to, "up to"), told=told, **stamp)]


def limit_of(reasoner: Reasoner, job: JobState, sheet: str) -> float | None:
    """The price not to pass without a call [currency]; None: this sheet is not what is planned."""
    view = reasoner.view(job)
    if sheet not in view.decision.plan_sheets:
        return None
    return max(_judged(reasoner, job).range.call_before, price_now(reasoner, view))


def decline(
    reasoner: Reasoner,
    job: JobState,
    stamp: Mapping[str, Any],
    *,
    stages: Sequence[str] = (),
    everything: bool = False,
    told: str = "",
) -> list[Event]:
    """The customer declines this, or everything; ``told``: what the customer was told of it.

    Raises
    ------
    RefusedError : there is nothing to offer.
    """
    declined = [] if everything else _stages(reasoner, job, stages)
    return [Approved(stages=declined, declined=True, told=told.strip(), **stamp)]


def stages_named(names: Sequence[str], knowledge: Knowledge) -> list[str]:
    """Ids of stages and small jobs by id or name, as typed.

    Raises
    ------
    InputError : no such stage or small job; names the nearest.
    """
    by_name = {card.name.lower(): ident for ident, card in knowledge.sheets.items()}
    found = []
    for name in names:
        word = name.strip().lower()
        ident = by_name.get(word, word.replace(" ", "_"))
        if ident not in knowledge.sheets:
            raise InputError(
                f"'{name[:40]}' is no stage and no small job.",
                where="stage",
                next_step=nearest(ident, knowledge.sheets),
            )
        found.append(ident)
    return list(dict.fromkeys(found))


def quoted_words(reasoner: Reasoner, job: JobState) -> str:
    """What to say to the customer of the quote that waits; empty where none does."""
    quoted, currency = job.quoted, reasoner.money.currency
    if quoted is None:
        return ""
    names = " and ".join(reasoner.knowledge.sheets[s].name for s in quoted.stages)
    price = "" if quoted.price is None else f", about {quoted.price:.0f} {currency}"
    limit = ""
    if quoted.up_to is not None:
        limit = f"; at most {quoted.up_to:.0f} {currency} without another call"
    again = f" Asked {job.quotes} times now." if job.quotes > 1 else ""
    return f"Say: {names}{price}{limit}.{again} It waits for the answer: approve or decline."


def _stages(reasoner: Reasoner, job: JobState, given: Sequence[str]) -> list[str]:
    if given:
        return stages_named(given, reasoner.knowledge)
    if job.quoted is not None:
        return list(job.quoted.stages)
    view = reasoner.view(job)
    if view.belief.signs:
        raise RefusedError(
            "a sign of trapped gas stands; there is no work to offer.",
            next_step="Clear the sign at the bench, or refer it out: diagnose jobs refer JOB",
        )
    return list(view.decision.plan_sheets)


def _judged(reasoner: Reasoner, job: JobState) -> Judgement:
    return judge(reasoner, reasoner.view(job))


def _money(value: float | None, where: str) -> float | None:
    if value is not None and not 0 <= value < _TOO_MUCH:
        raise InputError(f"{value:g} is not believable.", where=where)
    return value
