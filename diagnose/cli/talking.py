"""``diagnose counter`` and ``bench``: a job kept in a store, talked about through a door."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import threading
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from diagnose.cli.context import Context
from diagnose.cli.intake import came_after_all, facts_of, parting
from diagnose.records.other_hands import KeptTag, latest_touch

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from diagnose.job.events import Event
    from diagnose.job.state import JobState
    from diagnose.records.keeper import Keeper
    from diagnose.records.store import JobStore
    from diagnose.terminal.talk import Paper

__all__ = ["talking"]

#: after which somebody who waits is told so [s]
_MOMENT = 1.5

At = Literal["counter", "bench"]


def talking(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    at: At = "bench" if arguments.command == "bench" else "counter"
    if at == "bench" and arguments.list:
        return _print_list(arguments, context)
    if arguments.json_lines:
        return _lines(arguments, context, at)
    return _screen(arguments, context, at)


def _lines(arguments: argparse.Namespace, context: Context, at: At) -> int:
    from diagnose.cli.json_lines import converse

    keeper, events, _ = _begin(arguments, context, at)
    try:
        converse(
            context.conversation,
            events,
            keeper.save,
            context.clock,
            arguments.person,
            sys.stdin,
            sys.stdout,
            lambda: keeper.job,
        )
    finally:
        keeper.close()
    _say_away(keeper)
    # The other program reads what it is told on standard output; this is for whoever watches it.
    for text in parting(arguments, context, keeper.job, events):
        print(text, file=sys.stderr)
    return 0


def _screen(arguments: argparse.Namespace, context: Context, at: At) -> int:
    from diagnose.job.state import fold
    from diagnose.terminal.opening import has_screen
    from diagnose.terminal.quiet import quiet_keyboard
    from diagnose.terminal.talk import Settings, first_complaint, talk

    settings = Settings(
        plain=arguments.plain, colour="NO_COLOR" not in os.environ, idle=60.0 * arguments.idle
    )
    with quiet_keyboard(has_screen(settings)):
        said = ""
        if at == "counter" and not arguments.job:
            opening = first_complaint(settings, lambda: context.conversation)
            if opening.left:
                return opening.status
            said = opening.text
        with _patience():
            conversation = context.conversation
            keeper, events, since = _begin(arguments, context, at)
            # What is slow the first time is made ready here, while that is said.
            conversation.reasoner.hear(fold(events))
        try:
            outcome = talk(
                conversation,
                events,
                keeper.save,
                clock=context.clock,
                person=arguments.person,
                settings=settings,
                said=said,
                papers=_papers(context, keeper, arguments.person, at),
                tag=KeptTag(keeper, arguments.person, since) if at == "bench" else None,
                results=getattr(arguments, "results", 0),
            )
        finally:
            keeper.close()
    _say_away(keeper)
    _say_where(keeper.job, at, fold(outcome.events))
    for line in parting(arguments, context, keeper.job, outcome.events):
        print(line)
    if keeper.fault is not None:
        print(f"Not saved: {keeper.fault}", file=sys.stderr)
        print(_sheet(context, outcome.events, keeper.job))
    return outcome.status


@contextmanager
def _patience() -> Iterator[None]:
    """Says that it takes a moment where it does: the first time, all knowledge is read."""
    words = "One moment, getting ready."
    timer = threading.Timer(_MOMENT, print, (words,), {"flush": True})
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _say_away(keeper: Keeper) -> None:
    """Where the job is kept now that the server does not answer, and how it comes back."""
    if keeper.away is not None:
        print(
            f"{keeper.away.what} Job {keeper.job} is kept in {keeper.store.place}: leave --store "
            f"out to go on with it. Once the server is back: diagnose jobs push "
            f"'{keeper.away.where}'",
            file=sys.stderr,
        )


def _say_where(name: str, at: At, job: JobState) -> None:
    """How to go on with the job; each command whole on a line of its own, to be copied."""
    if not name:
        return
    print(f"Job {name} is saved{' and closed' if job.closed else ''}.")
    if job.closed is not None:
        rows = [("Hand-over card", f"diagnose jobs handover {name}")]
    elif at == "bench":
        rows = [("Go on", f"diagnose bench {name}"), ("Job sheet", f"diagnose jobs sheet {name}")]
    else:
        rows = [("Bench", f"diagnose bench {name}"), ("Ticket", f"diagnose jobs ticket {name}")]
        if job.at == "counter":
            rows.insert(0, ("Go on", f"diagnose counter {name}"))
    wide = shutil.get_terminal_size().columns
    for what, command in rows:
        line = f"{what}: {command}"
        print(line if len(line) <= wide else f"{what}:\n{command}")


def _papers(context: Context, keeper: Keeper, person: str, at: At) -> dict[str, Paper]:
    """What the menu can show besides."""
    papers: dict[str, Paper] = {"job sheet": lambda now: _sheet(context, now, keeper.job)}
    if at == "bench":
        papers["check list"] = lambda now: _list(context, now, keeper.job, person)
    return papers


def _list(context: Context, events: Sequence[Event], job: str, person: str) -> str:
    from diagnose.cli.jobs import columns
    from diagnose.reports.check_list import check_list_text

    prompts = context.conversation.check_list(events, person)
    return check_list_text(prompts, len(events), context.knowledge, columns(), name=job)


def _print_list(arguments: argparse.Namespace, context: Context) -> int:
    """The check list of a job as it stands; nothing is stored."""
    from diagnose.cli.papers import write_page
    from diagnose.records.places import open_store
    from diagnose.reports.check_list import check_list_page

    with open_store(arguments.store or context.job_file) as store:
        events = store.load(arguments.job)
    if not arguments.html:
        print(_list(context, events, arguments.job, arguments.person), end="")
        return 0
    prompts = context.conversation.check_list(events, arguments.person)
    page = check_list_page(prompts, len(events), context.knowledge, name=arguments.job)
    write_page(arguments.html, page)
    return 0


def _sheet(context: Context, events: Sequence[Event], job: str) -> str:
    from diagnose.job.state import fold
    from diagnose.reasoning.judgement import judge
    from diagnose.reports.judgement_text import judgement_text

    view = context.reasoner.view(fold(events))
    head = f"Job {job}\n\n" if job else ""
    return head + judgement_text(judge(context.reasoner, view))


def _begin(
    arguments: argparse.Namespace, context: Context, at: At
) -> tuple[Keeper, list[Event], int | None]:
    """The keeper of the job, the events it has, and the store's number of its latest before now."""
    from diagnose.job.events import Filed, HandedOver, Opened, Resumed
    from diagnose.records.keeper import Keeper
    from diagnose.records.places import open_store

    stamp = {"time": context.clock(), "person": arguments.person}
    place = arguments.store or context.job_file

    def opened() -> JobStore:
        return open_store(place)

    def local() -> JobStore:
        return open_store(context.job_file)

    # A server can be away; a file that cannot be written has no other file to go to.
    aside = local if "://" in str(place) else None

    name = arguments.job
    if name and Path(name).suffix in (".yaml", ".json"):
        from diagnose.job.job_file import events_of

        events, _ = events_of(context.job_data, context.knowledge, stamp["time"])
        if at == "bench":
            events.append(HandedOver(to=arguments.person, at="bench", **stamp))
        return Keeper(opened, context.clock, events, local=aside), events, None
    if name:
        store = open_store(place)
        events = store.load(name)
        keeper = Keeper(lambda: store, context.clock, events, name, aside)
        from diagnose.job.state import fold

        turn: Event = Resumed(**stamp)
        if at == "bench" and fold(events).at != "bench":
            turn = HandedOver(to=arguments.person, at="bench", **stamp)
        since = latest_touch(store, name)
        new = [turn, *came_after_all(arguments, events, stamp)]
        keeper.save(new)
        return keeper, [*events, *new], since
    knowledge = context.knowledge
    events = [
        Opened(
            pack=knowledge.pack.id,
            knowledge=knowledge.fingerprint,
            at=at,
            channel=getattr(arguments, "channel", None) or "bike_here",
            priors=context.priors,
            **stamp,
        )
    ]
    facts = facts_of(arguments, context)
    if facts.known():
        events.append(Filed(facts=facts, **stamp))
    return Keeper(opened, context.clock, events, local=aside), events, None
