"""``diagnose jobs parts|promise``: where the kit is, and the day on which the shock is ready."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json, say
from diagnose.cli.one_job import add_to, stamp_of
from diagnose.job.state import JobState

_PARTS = """\
examples:
  diagnose jobs parts 1124-07                       the kit of the plan
  diagnose jobs parts 1124-07 --have all
  diagnose jobs parts 1124-07 --have 2 --order "seal kit=2031-04-12"
"""

_PROMISE = """\
examples:
  diagnose jobs promise 1124-07 +3    in three days
  diagnose jobs promise 1124-07 none  take the promise back
"""


def parts_options(sub: argparse.ArgumentParser) -> None:
    options.examples(sub, _PARTS)
    options.action(sub, job=True, store=True, json=True)
    for state, metavar in (("have", "ITEM"), ("order", "ITEM[=DAY]"), ("unknown", "ITEM")):
        sub.add_argument(
            f"--{state}",
            action="append",
            default=[],
            metavar=metavar,
            help="number or part of a line, or all; may be repeated",
        )


def parts(arguments: argparse.Namespace, context: Context) -> int:
    """Show the kit, after writing down what is here, ordered or unknown."""
    from diagnose.conversation.kit import kit_of, stocked
    from diagnose.job.queue import promised_day

    stamp = stamp_of(arguments, context)
    job = add_to(
        arguments,
        context,
        lambda job: stocked(
            kit_of(context.reasoner, job),
            stamp,
            {"have": arguments.have, "order": arguments.order, "unknown": arguments.unknown},
        ),
    )
    kit = kit_of(context.reasoner, job)
    if arguments.json:
        lines = [{"item": item, "state": _state(job, item), "day": _day(job, item)} for item in kit]
        print_json({"job": arguments.job, "kit": lines, "promised": promised_day(job)})
        return 0
    _print_kit(kit, job, context.clock())
    return 0


def _state(job: JobState, item: str) -> str:
    return job.kit[item].state if item in job.kit else "unknown"


def _day(job: JobState, item: str) -> str:
    return job.kit[item].day if item in job.kit else ""


def _print_kit(kit: Sequence[str], job: JobState, now: str) -> None:
    from diagnose.job.queue import clock_words
    from diagnose.reports.wrapping import wrapped

    width = columns()
    for number, item in enumerate(kit, 1):
        day = _day(job, item)
        until = f", expected {clock_words(day, now)}" if day else ""
        text = f"{item}: {_state(job, item)}{until}"
        print("\n".join(wrapped(text, width, f"{number:>2}  ", "    ")))
    if not kit:
        print("This plan needs no kit.")
    say(_promise_words(job, now))


def _promise_words(job: JobState, now: str) -> str:
    from diagnose.job.queue import clock_words, promised_day

    day = promised_day(job)
    if not day:
        return "No day is promised: diagnose jobs promise JOB DAY."
    if day != job.promised:
        told = clock_words(job.promised, now)
        return f"Promised for {told}; parts on order move it to {clock_words(day, now)}. Call."
    return f"Promised for {clock_words(day, now)}."


def promise_options(sub: argparse.ArgumentParser) -> None:
    options.examples(sub, _PROMISE)
    options.action(sub, job=True, store=True, json=True)
    sub.add_argument("day", metavar="DAY", help="2031-04-12, today, tomorrow, +3, or none")


def promise(arguments: argparse.Namespace, context: Context) -> int:
    """Write down the day that the customer was told."""
    from diagnose.conversation.kit import promised
    from diagnose.job.queue import promised_day

    stamp = stamp_of(arguments, context)
    job = add_to(arguments, context, lambda job: promised(arguments.day, stamp))
    if arguments.json:
        print_json({"job": arguments.job, "told": job.promised, "promised": promised_day(job)})
    else:
        say(_promise_words(job, stamp["time"]))
    return 0
