"""The commands that run the shop's day: jobs, shop, sheet."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any

from diagnose.cli.context import Context

__all__ = ["add"]

Command = Callable[[argparse.Namespace, Context], int]

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[Any]

_JOBS = """\
examples:
  diagnose jobs queue                       what ripens next, what is due now
  diagnose jobs list --state look           what waits for a look
  diagnose jobs approve 1124-07 --up-to 90  what the customer agrees to
  diagnose jobs parts 1124-07 --have all    the whole kit is here
  diagnose jobs ticket 1124-07 --width 32   the ticket for a receipt roll
  diagnose jobs sheet 1124-07 --html s.html the mechanic's sheet, to print
  diagnose jobs close 1124-07               what was found, in a minute
  diagnose jobs report --html report.html   the foreman's report
"""


_QUEUE = """\
examples:
  diagnose jobs queue                   a ! marks what is due now
  diagnose jobs queue --state approval  whom to call, the longest waiting first
"""

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

_REFER = """\
examples:
  diagnose jobs refer 1124-07                       the pack as text
  diagnose jobs refer 1124-07 --to "the north shop" it goes there now
  diagnose jobs refer 1124-07 --html pack.html
"""

_EXPORT = """\
examples:
  diagnose jobs export all.jsonl           whole jobs; import takes them in
  diagnose jobs export jobs.csv --csv      a table, without the customers' words
  diagnose jobs export calls.csv --calls   closed a fortnight ago: how did it go?
"""

_CLOSE = """\
examples:
  diagnose jobs close 1124-07                    asks, a key an answer
  diagnose jobs close 1124-07 --found can_seal_worn --test passed
  diagnose jobs close 1124-07 --as not_collected --words "called three times"
"""

#: states of a job, in the order in which it goes through them
_STATES = (
    "new",
    "counter",
    "look",
    "approval",
    "parts",
    "bench",
    "test",
    "ready",
    "referred",
    "declined",
    "closed",
)


def _later(module: str, name: str) -> Command:
    """The command of that name, imported when it is run."""

    def run(arguments: argparse.Namespace, context: Context) -> int:
        command: Command = getattr(import_module(f"diagnose.cli.{module}"), name)
        return command(arguments, context)

    return run


def add(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Add the commands to the command line."""
    _jobs(commands, common)
    _shop(commands, common)
    _sheet(commands, common)


class _Group:
    """One command with its actions."""

    def __init__(
        self,
        commands: Commands,
        common: Callable[[argparse.ArgumentParser], None],
        name: str,
        words: str,
        examples: str = "",
    ) -> None:
        form = argparse.RawDescriptionHelpFormatter
        group = commands.add_parser(
            name, help=words, description=examples or None, formatter_class=form
        )
        self._actions = group.add_subparsers(dest="action", metavar="ACTION", required=True)
        self._common = common

    def action(
        self,
        name: str,
        words: str,
        module: str,
        *options: str,
        function: str = "",
        examples: str = "",
    ) -> argparse.ArgumentParser:
        """An action with the options that several share; its help begins with the examples."""
        sub: argparse.ArgumentParser = self._actions.add_parser(
            name,
            help=words,
            description=examples or None,
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        self._common(sub)
        sub.add_argument("--person", default="", metavar="AB", help="your initials")
        if "job" in options:
            sub.add_argument("job", help="job number")
        if "store" in options:
            sub.add_argument("--store", metavar="URL", help="job store: a file, or a database URL")
        if "json" in options:
            sub.add_argument("--json", action="store_true", help="the result as JSON")
        if "paper" in options:
            sub.add_argument("--html", metavar="FILE", help="write a page to print instead of text")
            sub.add_argument("--width", type=int, metavar="N", help="columns of the text")
            sub.add_argument("--paper", choices=("printer", "a4", "receipt"), default="printer")
        sub.set_defaults(run=_later(module, function or name))
        return sub


def _jobs(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    group = _Group(commands, common, "jobs", "the shop's jobs: list, papers, closing", _JOBS)
    listed = group.action(
        "list", "jobs, the latest first", "jobs", "store", "json", function="list_jobs"
    )
    listed.add_argument("--search", default="", metavar="WORDS", help="words that must all occur")
    waiting = group.action(
        "queue",
        "jobs that are not closed, what ripens next first",
        "queue",
        "store",
        "json",
        examples=_QUEUE,
    )
    for sub, limit, states in ((listed, 20, _STATES), (waiting, 50, _STATES[1:-1])):
        sub.add_argument("--state", default="", choices=states, help="only jobs in this state")
        sub.add_argument("--by", default="", metavar="AB", help="only this person's jobs")
        sub.add_argument("--limit", type=int, default=limit, metavar="N")
    group.action("show", "state, last judgement, how to go on", "jobs", "job", "store", "json")
    for name, words in (
        ("ticket", "the customer's ticket"),
        ("sheet", "the mechanic's job sheet"),
        ("handover", "the card that goes back with the shock"),
    ):
        group.action(name, words, "papers", "job", "store", "json", "paper")
    _closing(group)
    _customer(group)
    _shelf(group)
    _passing(group)
    erase = group.action("erase", "blank the customer's words for good", "jobs", "job", "store")
    erase.add_argument("--yes", action="store_true", help="it cannot be taken back")
    export = group.action(
        "export",
        "all jobs as lines of JSON, or a table",
        "exchange",
        "store",
        examples=_EXPORT,
    )
    export.add_argument("file", help="file to write, - for standard output")
    export.add_argument("--csv", action="store_true", help="one row a job, for a spreadsheet")
    export.add_argument(
        "--calls", action="store_true", help="only whom to ask now how it went, as a table"
    )
    taken = group.action(
        "import",
        "take in exported jobs, none twice",
        "exchange",
        "store",
        "json",
        function="take_in",
    )
    taken.add_argument("file", help="file that export wrote, - for standard input")
    push = group.action("push", "bring local jobs to another store", "exchange", "store", "json")
    push.add_argument("target", metavar="URL", help="the store that takes them in")
    saved = group.action("rescue", "read what is whole in a damaged file", "exchange", "json")
    saved.add_argument("file", help="the damaged job file")
    saved.add_argument("into", help="new file; it must not exist")
    group.action("verify", "every fault in what is stored", "exchange", "store", "json")
    learn = group.action(
        "learn", "what closed jobs say about how often causes occur", "learn", "store", "json"
    )
    learn.add_argument("--apply", action="store_true", help="judge by it from now on")
    learn.add_argument("--back", action="store_true", help="return to the version before")
    report = group.action("report", "the foreman's report", "foreman", "store", "json", "paper")
    report.add_argument("--since", default="", metavar="DATE", help="jobs opened from this day on")


def _customer(group: _Group) -> None:
    """What the customer was asked and answered."""
    quote = group.action(
        "quote",
        "ask the customer: plan and price; it waits for the answer",
        "agreements",
        "job",
        "store",
        "json",
        examples=_QUOTE,
    )
    quote.add_argument("--price", type=float, metavar="N", help="what was named")
    approve = group.action(
        "approve", "the customer agrees", "agreements", "job", "store", "json", examples=_APPROVE
    )
    for sub in (quote, approve):
        sub.add_argument("--up-to", type=float, metavar="N", help="at most so much without a call")
        sub.add_argument("--told", default="", metavar="WORDS", help="what else was said")
    decline = group.action(
        "decline",
        "the customer declines; keep what was told",
        "agreements",
        "job",
        "store",
        "json",
        examples=_DECLINE,
    )
    decline.add_argument("--told", default="", metavar="WORDS", help="what the customer was told")
    decline.add_argument("--everything", action="store_true", help="not only this plan")
    for sub in (quote, approve, decline):
        sub.add_argument(
            "--stage",
            action="append",
            default=[],
            metavar="ID",
            help="about this stage instead of the plan; may be repeated",
        )


def _shelf(group: _Group) -> None:
    """Kit and the promised day."""
    parts = group.action(
        "parts",
        "the kit: what is here, ordered, unknown",
        "parts",
        "job",
        "store",
        "json",
        examples=_PARTS,
    )
    for state, metavar in (("have", "ITEM"), ("order", "ITEM[=DAY]"), ("unknown", "ITEM")):
        parts.add_argument(
            f"--{state}",
            action="append",
            default=[],
            metavar=metavar,
            help="number or part of a line, or all; may be repeated",
        )
    promise = group.action(
        "promise",
        "the day that the customer was told",
        "parts",
        "job",
        "store",
        "json",
        examples=_PROMISE,
    )
    promise.add_argument("day", metavar="DAY", help="2031-04-12, today, tomorrow, +3, or none")


def _passing(group: _Group) -> None:
    """To another person, another shop, another job."""
    hand = group.action(
        "hand", "give the job to another person", "passing", "job", "store", "json", examples=_HAND
    )
    hand.add_argument("--to", required=True, metavar="XY", help="initials of that person")
    hand.add_argument("--at", choices=("counter", "bench"), help="where it goes on")
    group.action("ready", "the work is done", "passing", "job", "store", "json")
    link = group.action(
        "link", "tie a job to another one", "passing", "job", "store", "json", examples=_LINK
    )
    link.add_argument("--comeback-of", default="", metavar="JOB", help="it came back from this job")
    link.add_argument("--same-bike-as", default="", metavar="JOB", help="another job of the bike")
    refer = group.action(
        "refer",
        "the referral pack for whoever takes it on",
        "papers",
        "job",
        "store",
        "json",
        "paper",
        examples=_REFER,
    )
    refer.add_argument("--to", default="", metavar="WHOM", help="it goes there now: keep that")
    refer.add_argument("--told", default="", metavar="WORDS", help="what the customer was told")


def _closing(group: _Group) -> None:
    close = group.action(
        "close",
        "what was found, and how it ended",
        "closing",
        "job",
        "store",
        "json",
        examples=_CLOSE,
    )
    close.add_argument(
        "--as",
        dest="ended",
        default="",
        choices=("not_wanted", "not_collected", "replaced", "referred"),
        help="it ended without our repair; then no question is asked",
    )
    close.add_argument(
        "--found",
        metavar="ID,ID",
        help="causes found; none_of_these, nothing or not_looked; then no question is asked",
    )
    close.add_argument("--words", default="", help="what was found, in words")
    close.add_argument("--stage", help="what was done")
    close.add_argument("--minutes", type=float)
    close.add_argument("--parts", type=float, help="cost of parts")
    close.add_argument(
        "--test",
        choices=("passed", "failed", "not_repeated"),
        default="not_repeated",
        help="the complaint's own test, repeated",
    )
    close.add_argument("--comeback-of", default="", metavar="JOB", help="the job it came back from")


def _shop(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    group = _Group(commands, common, "shop", "the shop's settings: equipment, people, money")
    group.action("show", "the settings in force", "shop", "json")
    group.action("check", "every problem in the shop's file", "shop")


def _sheet(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    group = _Group(commands, common, "sheet", "the shop's data sheets of shocks")
    group.action("list", "sheets and what they miss", "sheet", "json", function="list_sheets")
    group.action("show", "one sheet, blanks included", "sheet", "json").add_argument("name")
    put = group.action("set", "write one value", "sheet", function="put")
    put.add_argument("name")
    put.add_argument("field")
    put.add_argument("value")
    use = group.action("use", "put a sheet to a job", "sheet", "job", "store")
    use.add_argument("name")
