"""``diagnose jobs close``: what was really found; asked in a minute, or given by options."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json
from diagnose.cli.one_job import comeback_of, stamp_of, still_open
from diagnose.errors import UsageError
from diagnose.job.events import Closed
from diagnose.started import runnable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.job.events import Event
    from diagnose.records.store import JobStore


_EXAMPLES = """\
examples:
  diagnose jobs close 1124-07                    asks, a key an answer; Enter takes what is proposed
  diagnose jobs close 1124-07 --found can_seal_worn --test passed
  diagnose jobs close 1124-07 --as not_collected --words "called three times"
"""

#: options that say how it ended, so that nothing is asked
_SAID = ("found", "ended", "words", "stage", "minutes", "parts", "tested", "test", "unticked")

_PASSED = {"passed": True, "failed": False, "not_repeated": None, None: None}


def close_options(sub: argparse.ArgumentParser) -> None:
    options.examples(sub, _EXAMPLES)
    options.action(sub, job=True, store=True, json=True)
    options.talk(sub)
    sub.add_argument(
        "--as",
        dest="ended",
        choices=("not_wanted", "not_collected", "replaced", "referred"),
        help="it ended without our repair; then no question is asked",
    )
    sub.add_argument(
        "--found",
        metavar="ID,ID",
        help="causes found; none_of_these, nothing or not_looked; then no question is asked",
    )
    sub.add_argument("--words", help="what was found, in words")
    sub.add_argument("--stage", help="what was done")
    sub.add_argument("--minutes", type=float)
    sub.add_argument("--parts", type=float, help="cost of parts")
    sub.add_argument("--tested", metavar="CHECK", help="which test; else the complaint's own")
    sub.add_argument(
        "--test",
        choices=("passed", "failed", "not_repeated"),
        help="how the repeated test came out",
    )
    sub.add_argument(
        "--unticked",
        choices=("done", "left"),
        help="steps of its sheet that are not ticked were done, or left out",
    )
    sub.add_argument("--comeback-of", default="", metavar="JOB", help="the job it came back from")


def close(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    given = arguments.found is not None or arguments.ended is not None
    if not given and (arguments.json or any(getattr(arguments, name) for name in _SAID)):
        raise UsageError(
            "it is not said what was found.",
            where=f"job {arguments.job}",
            next_step="Add --found or --as, or leave the other options out to be asked.",
        )
    if not given:
        from diagnose.cli.talk import ask_the_end

        return ask_the_end(arguments, context, lambda jobs: _tie(arguments, context, jobs))
    with still_open(arguments, context) as (jobs, events):
        tie = _tie(arguments, context, jobs)
        new = [*tie, *_record(arguments, context, [*events, *tie])]
        jobs.append(arguments.job, len(events), new)
    return _say(arguments, next(event for event in new if isinstance(event, Closed)))


def _tie(arguments: argparse.Namespace, context: Context, jobs: JobStore) -> list[Event]:
    if not arguments.comeback_of:
        return []
    stamp = stamp_of(arguments, context)
    return comeback_of(jobs, arguments.job, arguments.comeback_of, stamp)


def _record(
    arguments: argparse.Namespace, context: Context, events: Sequence[Event]
) -> list[Event]:
    from diagnose.conversation.closing import read_found
    from diagnose.conversation.end_record import close
    from diagnose.job.ending import Ending

    found = read_found(arguments.found or "not_looked", context.knowledge)
    ending = Ending(
        found=list(found),
        words=arguments.words,
        ended=arguments.ended,
        stage=arguments.stage,
        minutes=arguments.minutes,
        parts=arguments.parts,
        test=arguments.tested,
        unticked=arguments.unticked,
        passed=_PASSED[arguments.test],
    )
    return close(context.reasoner, events, ending, stamp_of(arguments, context))


def _say(arguments: argparse.Namespace, closed: Closed) -> int:
    name, reopened = arguments.job, closed.cured is False
    if arguments.json:
        print_json(
            {
                "job": name,
                "state": "bench" if reopened else "closed",
                "found": closed.found,
                "stage": closed.stage,
                "ended": closed.ended,
            }
        )
    elif reopened:
        print(runnable(f"Not cured: job {name} is open again: diagnose bench {name}"))
    elif closed.ended:
        print(f"Job {name} is closed as {closed.ended.replace('_', ' ')}.")
    else:
        print(runnable(f"Job {name} is closed. The card: diagnose jobs handover {name}"))
    return 0
