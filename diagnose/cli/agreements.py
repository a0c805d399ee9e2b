"""``diagnose jobs quote|approve|decline``: what the customer was told, and answered.

Rules
-----
- Without options it is about the plan as it is judged now, or about what was last quoted.
- A refusal is recorded with what the customer was told, or not at all.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json
from diagnose.cli.writing import add_to, judged_now, stages_named, stamp_of
from diagnose.errors import InputError, RefusedError, UsageError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.job.events import Event
    from diagnose.job.state import JobState

__all__ = ["approve", "decline", "quote"]


def quote(arguments: argparse.Namespace, context: Context) -> int:
    """Record that the customer was asked, and print what to say."""
    from diagnose.job.events import Quoted
    from diagnose.reasoning.pricing import call_limit, whole_price

    def make(job: JobState) -> Sequence[Event]:
        judgement = judged_now(context, job)
        price, limit = arguments.price, arguments.up_to
        if not arguments.stage:
            rate = context.reasoner.money.rate_per_minute
            price = round(whole_price(judgement, rate)) if price is None else price
            limit = max(call_limit(judgement, rate), price) if limit is None else limit
        return [
            Quoted(
                stages=_stages(arguments, context, job),
                price=_money(price, "--price"),
                up_to=_money(limit, "--up-to"),
                told=arguments.told,
                **stamp_of(arguments, context),
            )
        ]

    job = add_to(arguments, context, make)
    return _said(arguments, context, job, _quote_words(context, job))


def _quote_words(context: Context, job: JobState) -> str:
    quoted = job.quoted
    assert quoted is not None
    currency = context.reasoner.money.currency
    names = " and ".join(context.knowledge.stages[s].name for s in quoted.stages)
    price = "" if quoted.price is None else f", about {quoted.price:.0f} {currency}"
    limit = ""
    if quoted.up_to is not None:
        limit = f"; at most {quoted.up_to:.0f} {currency} without another call"
    again = f" Asked {job.quotes} times now." if job.quotes > 1 else ""
    return f"Say: {names}{price}{limit}.{again} It waits for the answer: approve or decline."


def approve(arguments: argparse.Namespace, context: Context) -> int:
    """Record what the customer agreed to."""
    from diagnose.job.events import Approved
    from diagnose.reasoning.pricing import call_limit

    def make(job: JobState) -> Sequence[Event]:
        stages = _stages(arguments, context, job)
        limit = arguments.up_to
        if limit is None and not arguments.stage:
            rate = context.reasoner.money.rate_per_minute
            quoted = job.quoted
            limit = quoted.up_to if quoted else call_limit(judged_now(context, job), rate)
        limit = _money(limit, "--up-to")
        stamp = stamp_of(arguments, context)
        return [Approved(stages=stages, up_to=limit, told=arguments.told, **stamp)]

    job = add_to(arguments, context, make)
    return _said(arguments, context, job, _answer_words(context, job))


def decline(arguments: argparse.Namespace, context: Context) -> int:
    """Record a refusal with what the customer was told."""
    from diagnose.job.events import Approved

    if not arguments.told.strip():
        raise UsageError(
            "a refusal is recorded with what the customer was told.",
            where="--told",
            next_step="Such as: --told 'it may go flat; do not ride it'.",
        )

    def make(job: JobState) -> Sequence[Event]:
        stages = [] if arguments.everything else _stages(arguments, context, job)
        stamp = stamp_of(arguments, context)
        return [Approved(stages=stages, declined=True, told=arguments.told.strip(), **stamp)]

    job = add_to(arguments, context, make)
    return _said(arguments, context, job, _answer_words(context, job))


def _answer_words(context: Context, job: JobState) -> str:
    from diagnose.job.agreement import agreed_words

    return agreed_words(context.knowledge, job, context.reasoner.money.currency)


def _stages(arguments: argparse.Namespace, context: Context, job: JobState) -> list[str]:
    """The stages that this is about.

    Raises
    ------
    RefusedError : a sign of trapped gas stands, so that nothing can be offered.
    """
    if arguments.stage:
        return stages_named(arguments.stage, context.knowledge)
    if job.quoted is not None:
        return list(job.quoted.stages)
    judgement = judged_now(context, job)
    if judgement.shut:
        raise RefusedError(
            "a sign of trapped gas stands; there is no work to offer.",
            where=f"job {arguments.job}",
            next_step="Clear the sign at the bench, or refer it out: diagnose jobs refer "
            f"{arguments.job}",
        )
    return [judgement.stage.id, *(stage.id for stage in judgement.also_stages)]


def _money(value: float | None, where: str) -> float | None:
    if value is not None and not 0 <= value < 100_000:
        raise InputError(f"{value:g} is not believable.", where=where)
    return value


def _said(arguments: argparse.Namespace, context: Context, job: JobState, words: str) -> int:
    from diagnose.job.queue import standing
    from diagnose.reports.wrapping import wrapped

    if arguments.json:
        last = job.quoted or job.approved
        assert last is not None
        print_json(
            {"job": arguments.job, "state": standing(job).state, **last.model_dump(mode="json")}
        )
        return 0
    print("\n".join(wrapped(words or "Nothing is agreed to.", columns())))
    return 0
