"""``diagnose jobs hand|ready|link``: to another person, done, or tied to another job."""

from __future__ import annotations

import argparse

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json, say, store
from diagnose.cli.one_job import add_to, comeback_of, stamp_of, tie_bikes
from diagnose.errors import UsageError

_HAND = """\
examples:
  diagnose jobs hand 1124-07 --to CD              where it is
  diagnose jobs hand 1124-07 --to CD --at bench
"""

_LINK = """\
examples:
  diagnose jobs link 1124-07 --comeback-of 1101-02   closed, and back again
  diagnose jobs link 1124-07 --same-bike-as 1124-06
"""


def hand_options(sub: argparse.ArgumentParser) -> None:
    options.examples(sub, _HAND)
    options.action(sub, job=True, store=True, json=True)
    sub.add_argument("--to", required=True, metavar="XY", help="initials of that person")
    sub.add_argument("--at", choices=("counter", "bench"), help="where it goes on")


def hand(arguments: argparse.Namespace, context: Context) -> int:
    """Give a job to another person."""
    from diagnose.conversation.handing_on import hand_on

    to = arguments.to.strip()
    if not to:
        raise UsageError("nobody is named.", where="--to", next_step="Give initials.")
    stamp, people = stamp_of(arguments, context), context.shop.people
    job = add_to(
        arguments,
        context,
        lambda job: hand_on(
            stamp,
            to=to,
            at="counter" if (arguments.at or job.at) == "counter" else "bench",
            people=people,
        ),
    )
    command = f"diagnose {job.at} {arguments.job} --person {to}"
    if arguments.json:
        print_json({"job": arguments.job, "person": job.person, "at": job.at, "resume": command})
    else:
        say(f"Job {arguments.job} is with {to}, at the {job.at}. Go on with: {command}")
    return 0


def ready_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, job=True, store=True, json=True)


def ready(arguments: argparse.Namespace, context: Context) -> int:
    """The work is done; the job waits for closing and for its owner."""
    from diagnose.conversation import handing_on

    stamp = stamp_of(arguments, context)
    add_to(arguments, context, lambda job: handing_on.ready(job, stamp))
    if arguments.json:
        print_json({"job": arguments.job, "state": "ready"})
    else:
        say(f"Job {arguments.job} is ready. Close it with: diagnose jobs close {arguments.job}")
    return 0


def link_options(sub: argparse.ArgumentParser) -> None:
    options.examples(sub, _LINK)
    options.action(sub, job=True, store=True, json=True)
    sub.add_argument("--comeback-of", default="", metavar="JOB", help="it came back from this job")
    sub.add_argument("--same-bike-as", default="", metavar="JOB", help="another job of the bike")


def link(arguments: argparse.Namespace, context: Context) -> int:
    """Tie a job to the one it came back from, or to another one of the same bike."""
    back, bike = arguments.comeback_of, arguments.same_bike_as
    if not back and not bike:
        raise UsageError(
            "nothing to link to.",
            where=f"job {arguments.job}",
            next_step="Give --comeback-of JOB, or --same-bike-as JOB.",
        )
    stamp = stamp_of(arguments, context)
    with store(arguments, context) as jobs:
        if back:
            count = len(jobs.load(arguments.job))
            jobs.append(arguments.job, count, comeback_of(jobs, arguments.job, back, stamp))
        if bike:
            tie_bikes(jobs, arguments.job, bike, stamp)
    if arguments.json:
        print_json({"job": arguments.job, "comeback_of": back, "same_bike": bike})
        return 0
    ties = [f"came back from {back}"] if back else []
    ties += [f"is of the same bike as {bike}"] if bike else []
    say(f"Job {arguments.job} {' and '.join(ties)}.")
    return 0
