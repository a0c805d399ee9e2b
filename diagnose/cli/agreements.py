"""``diagnose jobs quote|approve|decline``: what the customer was told, and answered."""

from __future__ import annotations

import argparse

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json, say
from diagnose.cli.one_job import add_to, stamp_of
from diagnose.errors import UsageError
from diagnose.job.events import Event
from diagnose.job.state import JobState

_QUOTE = """\
examples:
  diagnose jobs quote 1124-07   the plan as judged now, with its price
  diagnose jobs quote 1124-07 --stage full_service --price 180 --up-to 220
Done again, it counts how often was asked.
"""

_APPROVE = """\
examples:
  diagnose jobs approve 1124-07             what was quoted, else the plan
  diagnose jobs approve 1124-07 --up-to 90  at most 90 without another call
  diagnose jobs approve 1124-07 --stage full_service
"""

_DECLINE = """\
examples:
  diagnose jobs decline 1124-07 --told "it may go flat; do not ride it"
  diagnose jobs decline 1124-07 --everything --told "collects it on Friday"
"""


def _about(sub: argparse.ArgumentParser, examples: str, told: str) -> None:
    options.examples(sub, examples)
    options.action(sub, job=True, store=True, json=True)
    sub.add_argument("--told", default="", metavar="WORDS", help=told)
    sub.add_argument(
        "--stage",
        action="append",
        default=[],
        metavar="ID",
        help="about this stage instead of the plan; may be repeated",
    )


def _limit(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--up-to", type=float, metavar="N", help="at most so much without a call")


def quote_options(sub: argparse.ArgumentParser) -> None:
    _about(sub, _QUOTE, "what else was said")
    _limit(sub)
    sub.add_argument("--price", type=float, metavar="N", help="what was named")


def quote(arguments: argparse.Namespace, context: Context) -> int:
    """Record that the customer was asked, and print what to say."""
    from diagnose.conversation import agreements

    def make(job: JobState) -> list[Event]:
        return agreements.quote(
            context.reasoner,
            job,
            stamp_of(arguments, context),
            stages=arguments.stage,
            price=arguments.price,
            up_to=arguments.up_to,
            told=arguments.told,
        )

    job = add_to(arguments, context, make)
    return _said(arguments, job, agreements.quoted_words(context.reasoner, job))


def approve_options(sub: argparse.ArgumentParser) -> None:
    _about(sub, _APPROVE, "what else was said")
    _limit(sub)


def approve(arguments: argparse.Namespace, context: Context) -> int:
    """Record what the customer agreed to."""
    from diagnose.conversation import agreements

    def make(job: JobState) -> list[Event]:
        return agreements.approve(
            context.reasoner,
            job,
            stamp_of(arguments, context),
            stages=arguments.stage,
            up_to=arguments.up_to,
            told=arguments.told,
        )

    job = add_to(arguments, context, make)
    return _said(arguments, job, _agreed(context, job))


def decline_options(sub: argparse.ArgumentParser) -> None:
    _about(sub, _DECLINE, "what the customer was told")
    sub.add_argument("--everything", action="store_true", help="not only this plan")


def decline(arguments: argparse.Namespace, context: Context) -> int:
    """Record a refusal with what the customer was told."""
    from diagnose.conversation import agreements

    if not arguments.told.strip():
        raise UsageError(
            "a refusal is recorded with what the customer was told.",
            where="--told",
            next_step="Such as: --told 'it may go flat; do not ride it'.",
        )

    def make(job: JobState) -> list[Event]:
        return agreements.decline(
            context.reasoner,
            job,
            stamp_of(arguments, context),
            stages=arguments.stage,
            everything=arguments.everything,
            told=arguments.told,
        )

    job = add_to(arguments, context, make)
    return _said(arguments, job, _agreed(context, job))


def _agreed(context: Context, job: JobState) -> str:
    from diagnose.job.agreement import agreed_words

    return agreed_words(context.knowledge, job, context.reasoner.money.currency)


def _said(arguments: argparse.Namespace, job: JobState, words: str) -> int:
    from diagnose.job.queue import standing

    if arguments.json:
        last = job.quoted or job.approved
        assert last is not None
        print_json(
            {"job": arguments.job, "state": standing(job).state, **last.model_dump(mode="json")}
        )
    else:
        say(words or "Nothing is agreed to.")
    return 0
