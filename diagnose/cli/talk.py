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

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.intake import intake_events, intake_options, parting
from diagnose.records.other_hands import KeptTag, latest_touch
from diagnose.started import runnable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from diagnose.job.events import Event
    from diagnose.job.state import JobState
    from diagnose.records.keeper import Keeper
    from diagnose.records.store import JobStore
    from diagnose.reports.paper import Document
    from diagnose.terminal.talk import Paper

    _Begun = tuple[Keeper, list[Event], int | None]


#: after which somebody who waits is told so [s]
_MOMENT = 1.5

At = Literal["counter", "bench"]


def _at(arguments: argparse.Namespace) -> At:
    return "counter" if arguments.command == "counter" else "bench"


def _talk_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)
    sub.add_argument("--person", default="", metavar="AB", help="initials of whoever answers")
    sub.add_argument("--store", metavar="URL", help="job store: a file, or a database URL")
    options.talk(sub)


def counter_options(sub: argparse.ArgumentParser) -> None:
    _talk_options(sub)
    sub.add_argument("job", nargs="?", help="go on with this job")
    sub.add_argument(
        "--channel",
        choices=("bike_here", "shock_only", "phone", "mail"),
        help="how the shock comes in: bike_here unless told; with a job, how it came after all",
    )
    intake_options(sub)


def counter(arguments: argparse.Namespace, context: Context) -> int:
    """Take in a complaint, or go on with a job."""
    if arguments.json_lines:
        return _lines(arguments, context, _begin(arguments, context))
    return _screen(arguments, context)


def bench_options(sub: argparse.ArgumentParser) -> None:
    _talk_options(sub)
    sub.add_argument("job", help="job number, or a job file")
    sub.add_argument(
        "--list", action="store_true", help="print the checks worth doing, to tick on paper"
    )
    sub.add_argument("--html", metavar="FILE", help="with --list: write a page to print instead")
    sub.add_argument(
        "--results", type=int, default=0, metavar="LIST", help="type the results of a printed list"
    )


def bench(arguments: argparse.Namespace, context: Context) -> int:
    """Confirm the cause of a job."""
    if arguments.list:
        return _print_list(arguments, context)
    if arguments.json_lines:
        return _lines(arguments, context, _begin(arguments, context))
    return _screen(arguments, context)


def ask_the_end(
    arguments: argparse.Namespace, context: Context, tie: Callable[[JobStore], list[Event]]
) -> int:
    """Ask how a job ended, as the conversation does; ``tie``: what is kept before."""

    def begun() -> _Begun:
        from diagnose.cli.one_job import stamp_of, still_open
        from diagnose.job.events import ClosingBegun
        from diagnose.job.state import fold
        from diagnose.records.keeper import Keeper
        from diagnose.records.places import open_store

        place = arguments.store or context.job_file
        with still_open(arguments, context) as (jobs, events):
            new = list(tie(jobs))
            if fold(events).choices.ending is None:
                new.append(ClosingBegun(**stamp_of(arguments, context)))
        keeper = Keeper(lambda: open_store(place), context.clock, events, arguments.job)
        keeper.save(new)
        return keeper, [*events, *new], None

    if arguments.json_lines:
        return _lines(arguments, context, begun())
    return _screen(arguments, context, begun)


def _lines(arguments: argparse.Namespace, context: Context, begun: _Begun) -> int:
    from diagnose.lines.conversation import converse

    keeper, events, _ = begun
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


def _screen(
    arguments: argparse.Namespace, context: Context, begin: Callable[[], _Begun] | None = None
) -> int:
    from diagnose.job.state import fold
    from diagnose.terminal.opening import has_screen
    from diagnose.terminal.quiet import quiet_keyboard
    from diagnose.terminal.talk import Settings, first_complaint, talk

    at = _at(arguments)
    settings = Settings(
        plain=arguments.plain, colour="NO_COLOR" not in os.environ, idle=60.0 * arguments.idle
    )
    with quiet_keyboard(has_screen(settings)):
        said = ""
        if not arguments.job:
            opening = first_complaint(settings, lambda: context.conversation)
            if opening.left:
                return opening.status
            said = opening.text
        with _patience():
            conversation = context.conversation
            keeper, events, since = begin() if begin else _begin(arguments, context)
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
        text = (
            f"{keeper.away.what} Job {keeper.job} is kept in {keeper.store.place}: leave --store "
            f"out to go on with it. Once the server is back: diagnose jobs push "
            f"'{keeper.away.where}'"
        )
        print(runnable(text), file=sys.stderr)


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
        runs = runnable(command)
        line = f"{what}: {runs}"
        print(line if len(line) <= wide else f"{what}:\n{runs}")


def _papers(context: Context, keeper: Keeper, person: str, at: At) -> dict[str, Paper]:
    """What the menu can show besides."""
    from diagnose.cli.jobs import columns

    papers: dict[str, Paper] = {"job sheet": lambda now: _sheet(context, now, keeper.job)}
    if at == "bench":
        papers["check list"] = lambda now: _list(context, now, keeper.job, person).text(columns())
    return papers


def _list(context: Context, events: Sequence[Event], job: str, person: str) -> Document:
    from diagnose.job.state import fold
    from diagnose.reports.check_list import check_list

    prompts = context.conversation.check_list(events, person)
    return check_list(prompts, len(events), context.knowledge, name=job, job=fold(events))


def _print_list(arguments: argparse.Namespace, context: Context) -> int:
    """The check list of a job as it stands; nothing is stored."""
    from diagnose.cli.jobs import columns
    from diagnose.cli.papers import write_page
    from diagnose.records.places import open_store

    with open_store(arguments.store or context.job_file) as store:
        events = store.load(arguments.job)
    listed = _list(context, events, arguments.job, arguments.person)
    if arguments.html:
        write_page(arguments.html, listed.page())
    else:
        print(listed.text(columns()), end="")
    return 0


def _sheet(context: Context, events: Sequence[Event], job: str) -> str:
    from diagnose.job.state import fold
    from diagnose.reasoning.judgement import judge
    from diagnose.reports.judgement_text import judgement_text

    view = context.reasoner.view(fold(events))
    head = f"Job {job}\n\n" if job else ""
    return head + judgement_text(judge(context.reasoner, view))


def _begin(arguments: argparse.Namespace, context: Context) -> _Begun:
    from diagnose.conversation.handing_on import hand_on
    from diagnose.conversation.intake import arrived
    from diagnose.job.events import Opened, Resumed
    from diagnose.job.state import fold
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

    name, bench = arguments.job, _at(arguments) == "bench"
    if name and Path(name).suffix in (".yaml", ".json"):
        from diagnose.job.job_file import events_of

        events, _ = events_of(context.job_data, context.knowledge, stamp["time"])
        if bench:
            events += hand_on(stamp, to=arguments.person)
        return Keeper(opened, context.clock, events, local=aside), events, None
    if name:
        store = open_store(place)
        events = store.load(name)
        job = fold(events)
        keeper = Keeper(lambda: store, context.clock, events, name, aside)
        over = bench and job.at != "bench"
        new = hand_on(stamp, to=arguments.person) if over else [Resumed(**stamp)]
        new += arrived(job, getattr(arguments, "channel", None), stamp)
        since = latest_touch(store, name)
        keeper.save(new)
        return keeper, [*events, *new], since
    knowledge = context.knowledge
    events = [
        Opened(
            pack=knowledge.pack.id,
            knowledge=knowledge.fingerprint,
            channel=arguments.channel or "bike_here",
            priors=context.priors,
            **stamp,
        ),
        *intake_events(arguments, context, stamp),
    ]
    return Keeper(opened, context.clock, events, local=aside), events, None
