"""``diagnose jobs ticket|sheet|handover|refer``: paper of one job, as text or as a page."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, store
from diagnose.errors import InputError

if TYPE_CHECKING:
    from diagnose.job.state import JobState
    from diagnose.reasoning.judgement import Judgement
    from diagnose.reports.paper import Document


_REFER = """\
examples:
  diagnose jobs refer 1124-07                       the pack as text
  diagnose jobs refer 1124-07 --to "the north shop" it goes there now
  diagnose jobs refer 1124-07 --html pack.html
"""


def ticket_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, job=True, store=True, json=True)
    options.paper(sub)


sheet_options = handover_options = ticket_options


def ticket(arguments: argparse.Namespace, context: Context) -> int:
    """What the customer takes along."""
    from diagnose.reports import ticket

    return _print(arguments, context, ticket.ticket)


def sheet(arguments: argparse.Namespace, context: Context) -> int:
    """What the mechanic works by."""
    from diagnose.reports.job_sheet import job_sheet

    return _print(arguments, context, job_sheet)


def handover(arguments: argparse.Namespace, context: Context) -> int:
    """What goes back with the shock."""
    from diagnose.reports import handover

    return _print(arguments, context, handover.handover)


def refer_options(sub: argparse.ArgumentParser) -> None:
    options.examples(sub, _REFER)
    ticket_options(sub)
    sub.add_argument("--to", default="", metavar="WHOM", help="it goes there now: keep that")
    sub.add_argument("--told", default="", metavar="WORDS", help="what the customer was told")


def refer(arguments: argparse.Namespace, context: Context) -> int:
    """What goes with the shock to somebody else; with ``--to`` the job keeps that it went."""
    from diagnose.cli.one_job import add_to, stamp_of
    from diagnose.conversation import handing_on
    from diagnose.reports.referral import referral

    to = arguments.to.strip()
    if to:
        stamp = stamp_of(arguments, context)
        add_to(arguments, context, lambda _: handing_on.refer(stamp, to=to, told=arguments.told))
    return _print(arguments, context, referral)


def _print(arguments: argparse.Namespace, context: Context, paper: Callable[..., Document]) -> int:
    from diagnose.reasoning.pricing import closed_bill

    judgement, job = _judged(arguments, context)
    shop, knowledge = context.shop, context.knowledge
    more: dict[str, Any] = {"name": arguments.job}
    if arguments.action == "handover":
        more["bill"] = closed_bill(context.reasoner, job)
    if arguments.action in ("ticket", "sheet"):
        more["lacking"] = {s: shop.lacks(knowledge, s, job.sheet_values) for s in knowledge.sheets}
    if arguments.json:
        print(judgement.model_dump_json(indent=2))
    if arguments.html or not arguments.json:
        put_out(arguments, paper(judgement, job, knowledge, **more))
    return 0


def put_out(arguments: argparse.Namespace, document: Document) -> None:
    """Write it as a page, or print it as text.

    Raises
    ------
    InputError : the file cannot be written.
    """
    if arguments.html:
        write_page(arguments.html, document.page(arguments.paper))
    else:
        print(document.text(max(24, arguments.width or columns())), end="")


def _judged(arguments: argparse.Namespace, context: Context) -> tuple[Judgement, JobState]:
    """The job's judgement now; on paper it was said, so the job keeps it."""
    from diagnose.job.events import Judged
    from diagnose.job.state import fold
    from diagnose.reasoning.judgement import judge

    with store(arguments, context) as opened:
        events = opened.load(arguments.job)
        job = fold(events)
        judgement = judge(context.reasoner, context.reasoner.view(job))
        shown = judgement.kept()
        if job.closed is None and job.last_judged != shown:
            said = Judged(time=context.clock(), person=arguments.person, judgement=shown)
            opened.append(arguments.job, len(events), [said])
    return judgement, job


def write_page(name: str, text: str) -> None:
    """Write a page and say where it is.

    Raises
    ------
    InputError : the file cannot be written.
    """
    try:
        Path(name).write_text(text, "utf-8")
    except OSError as error:
        raise InputError(
            f"cannot be written: {error.strerror}.", where=name, next_step="Name another file."
        ) from error
    print(f"Written: {name}")
