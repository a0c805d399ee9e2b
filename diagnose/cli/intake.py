"""What is noted as a shock comes in: tag, bike, things left with it, and jobs it belongs to.

Rules
-----
- All of it is optional and none of it changes a diagnosis.
- Jobs with the same tag, bike or customer's mark are offered as links; nobody is held up by them.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from diagnose.cli.context import Context
from diagnose.errors import InputError, StoreError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.job.events import Event
    from diagnose.job.facts import Facts
    from diagnose.records.store import JobStore

__all__ = ["add_options", "facts_of", "linked", "offers", "parting"]

_EXAMPLES = """\
examples:
  diagnose counter --person AB
  diagnose counter --channel phone               nobody has it in hand
  diagnose counter --tag 12 --bike "red enduro" --with bolt --with "two reducers"
  diagnose counter --comeback-of 1101-02         it was closed, and is back
  diagnose counter 1124-07                       go on with a job
  diagnose counter 1124-07 --channel shock_only  told by phone, the shock is here now
"""

#: options, and facts, that make two jobs alike
_MARKS = ("tag", "bike", "customer")

#: longest text of a mark or a thing [characters]
_LONGEST = 120

#: how many earlier jobs are offered, and how many are looked at
_OFFERED, _LOOKED_AT = 3, 20


def add_options(counter: argparse.ArgumentParser) -> None:
    """The options of the counter's command, and its examples."""
    counter.description = _EXAMPLES
    counter.formatter_class = argparse.RawDescriptionHelpFormatter
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


def facts_of(arguments: argparse.Namespace, context: Context) -> Facts:
    """Facts of the new job.

    Raises
    ------
    InputError : a text that is too long. StoreError : a job to link to is not there.
    """
    from diagnose.job.facts import Facts

    facts: dict[str, Any] = {}
    for option in (*_MARKS, "marks"):
        facts[option] = _text(getattr(arguments, option, ""), f"--{option}") or None
    things = [_text(thing, "--with") for thing in getattr(arguments, "things", [])]
    facts["accessories"] = [thing for thing in things if thing] or None
    earlier, beside = _links(arguments)
    if earlier or beside:
        from diagnose.cli.passing import check_comeback
        from diagnose.records.places import open_store

        with open_store(arguments.store or context.job_file) as jobs:
            if earlier:
                check_comeback(jobs, "", earlier)
                facts["comeback_of"] = earlier
            if beside:
                jobs.load(beside)
    return Facts(**facts)


def came_after_all(
    arguments: argparse.Namespace, events: Sequence[Event], stamp: dict[str, Any]
) -> list[Event]:
    """How a job that was begun by telephone came in, where that is told now."""
    from diagnose.job.events import Arrived
    from diagnose.job.state import fold

    channel = getattr(arguments, "channel", None)
    if channel is None or channel == fold(events).channel:
        return []
    return [Arrived(channel=channel, **stamp)]


def _links(arguments: argparse.Namespace) -> tuple[str, str]:
    return getattr(arguments, "comeback_of", ""), getattr(arguments, "same_bike_as", "")


def _text(given: str, where: str) -> str:
    text = " ".join(given.split())
    if len(text) > _LONGEST:
        raise InputError(
            f"{len(text)} characters are too many.",
            where=where,
            next_step=f"Use up to {_LONGEST}; the rest goes into the customer's words.",
        )
    return text


def linked(arguments: argparse.Namespace, jobs: JobStore, job: str, stamp: dict[str, Any]) -> None:
    """Tie the stored job to the other one of its bike."""
    from diagnose.cli.passing import tie_bikes

    _, beside = _links(arguments)
    if beside:
        tie_bikes(jobs, job, beside, stamp)


def offers(arguments: argparse.Namespace, jobs: JobStore, job: str) -> list[str]:
    """Commands that would tie the job to earlier ones with one of its marks, the latest first."""
    if any(_links(arguments)):
        return []
    from diagnose.job.state import fold

    found: dict[str, str] = {}
    for option in _MARKS:
        text = _text(getattr(arguments, option, ""), f"--{option}")
        if not text:
            continue
        # A tag hangs on another shock next month; a bike and its owner stay who they are.
        for row in jobs.find(search=text, unfinished=option == "tag", limit=_LOOKED_AT):
            there = fold(jobs.load(row.job)).facts.known().get(option)
            if row.job != job and isinstance(there, str) and there.casefold() == text.casefold():
                found.setdefault(row.job, f"same {option}, {row.state}")
    return [
        f"{name} ({why}): diagnose jobs link {job} "
        f"{'--comeback-of' if why.endswith('closed') else '--same-bike-as'} {name}"
        for name, why in list(found.items())[:_OFFERED]
    ]


def parting(
    arguments: argparse.Namespace, context: Context, job: str, events: Sequence[Event]
) -> list[str]:
    """Tie the job that was just talked about, and say what else belongs to it: earlier jobs that
    may be the same shock, and what somebody who is not here must know.
    """
    if arguments.command == "bench" or not job:
        return []
    lines: list[str] = []
    if arguments.job is None and any((*_links(arguments), *_given(arguments))):
        from diagnose.records.places import open_store

        stamp = {"time": context.clock(), "person": arguments.person}
        try:
            with open_store(arguments.store or context.job_file) as jobs:
                linked(arguments, jobs, job, stamp)
                lines += [f"Seen before: {offer}" for offer in offers(arguments, jobs, job)]
        except StoreError as fault:
            # The job itself is kept; a link can be made when the store is there again.
            lines.append(f"Not linked: {fault} Later: diagnose jobs link {job} --same-bike-as JOB")
    from diagnose.job.state import fold

    state = fold(events)
    if state.channel != "bike_here" and state.complaint:
        from diagnose.cli.jobs import columns
        from diagnose.cli.writing import judged_now
        from diagnose.reports.sending import sending_text

        lines += sending_text(
            judged_now(context, state), state, context.knowledge.device, columns()
        )
    return lines


def _given(arguments: argparse.Namespace) -> list[str]:
    return [getattr(arguments, option, "") for option in _MARKS]
