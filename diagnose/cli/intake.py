"""Options for what is noted as a shock comes in, and what is said of it at the end of the talk."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.job.events import Event
    from diagnose.job.state import JobState
    from diagnose.records.store import JobStore


_EXAMPLES = """\
examples:
  diagnose counter --person AB
  diagnose counter --channel phone               nobody has it in hand
  diagnose counter --tag 12 --bike "red enduro" --with bolt --with "two reducers"
  diagnose counter --comeback-of 1101-02         it was closed, and is back
  diagnose counter 1124-07                       go on with a job
  diagnose counter 1124-07 --channel shock_only  told by phone, the shock is here now
"""

#: how many earlier jobs are looked at for each mark
_LOOKED_AT = 20


def intake_options(counter: argparse.ArgumentParser) -> None:
    options.examples(counter, _EXAMPLES)
    group = counter.add_argument_group("what comes in, all optional")
    group.add_argument("--tag", default="", metavar="TEXT", help="number on the tag")
    group.add_argument("--bike", default="", metavar="TEXT", help="which bike: colour, frame mark")
    group.add_argument("--customer", default="", metavar="MARK", help="your mark of the customer")
    group.add_argument(
        "--with",
        dest="things",
        action="append",
        default=[],
        metavar="THING",
        help="left with it, such as 'bolt and two reducers'; may be repeated",
    )
    group.add_argument("--marks", default="", metavar="TEXT", help="scratches and dents as it came")
    group.add_argument(
        "--comeback-of", default="", metavar="JOB", help="it came back from this job"
    )
    group.add_argument("--same-bike-as", default="", metavar="JOB", help="another job of the bike")


def intake_events(
    arguments: argparse.Namespace, context: Context, stamp: dict[str, Any]
) -> list[Event]:
    """What a new job keeps of its coming in.

    Raises
    ------
    InputError : a text that is too long. StoreError : a job to link to is not there.
    """
    from diagnose.conversation.intake import intake_facts
    from diagnose.job.events import Filed

    facts = intake_facts(
        tag=arguments.tag,
        bike=arguments.bike,
        customer=arguments.customer,
        marks=arguments.marks,
        things=arguments.things,
    )
    new: list[Event] = [Filed(facts=facts, **stamp)] if facts.known() else []
    earlier, beside = arguments.comeback_of, arguments.same_bike_as
    if earlier or beside:
        from diagnose.cli.one_job import comeback_of
        from diagnose.records.places import open_store

        with open_store(arguments.store or context.job_file) as jobs:
            if earlier:
                new += comeback_of(jobs, "", earlier, stamp)
            if beside:
                jobs.load(beside)
    return new


def parting(
    arguments: argparse.Namespace, context: Context, job: str, events: Sequence[Event]
) -> list[str]:
    """Tie the job that was just talked about, and say what else belongs to it: earlier jobs that
    may be the same shock, and what somebody who is not here must know.
    """
    from diagnose.job.state import fold

    if arguments.command != "counter" or not job:
        return []
    state = fold(events)
    lines = _belonging(arguments, context, job, state) if arguments.job is None else []
    if state.channel != "bike_here" and state.complaint:
        from diagnose.cli.jobs import columns
        from diagnose.reasoning.judgement import judge
        from diagnose.reports.sending import sending_text

        judgement = judge(context.reasoner, context.reasoner.view(state))
        lines += sending_text(judgement, state, context.knowledge.device, columns())
    return lines


def _belonging(
    arguments: argparse.Namespace, context: Context, job: str, state: JobState
) -> list[str]:
    from diagnose.cli.one_job import tie_bikes
    from diagnose.conversation.intake import MARKS
    from diagnose.records.places import open_store

    beside, facts = arguments.same_bike_as, state.facts
    if not beside and not any(getattr(facts, mark) for mark in MARKS):
        return []
    stamp = {"time": context.clock(), "person": arguments.person}
    try:
        with open_store(arguments.store or context.job_file) as jobs:
            if beside:
                tie_bikes(jobs, job, beside, stamp)
            if beside or facts.comeback_of:
                return []
            return _seen_before(jobs, job, state)
    except StoreError as fault:
        # The job itself is kept; a link can be made when the store is there again.
        return [f"Not linked: {fault} Later: diagnose jobs link {job} --same-bike-as JOB"]


def _seen_before(jobs: JobStore, job: str, state: JobState) -> list[str]:
    """Commands that would tie the job to earlier ones with one of its marks, the latest first."""
    from diagnose.conversation.intake import MARKS, alike
    from diagnose.job.queue import standing
    from diagnose.job.state import fold

    others: dict[str, JobState] = {}
    for mark in MARKS:
        text = getattr(state.facts, mark)
        for row in jobs.find(search=text, limit=_LOOKED_AT) if text else ():
            if row.job != job:
                others[row.job] = fold(jobs.load(row.job))
    return [
        f"Seen before: {name} (same {mark}, {standing(others[name]).state}): "
        f"diagnose jobs link {job} "
        f"{'--comeback-of' if others[name].closed else '--same-bike-as'} {name}"
        for name, mark in alike(state.facts, list(others.items())).items()
    ]
