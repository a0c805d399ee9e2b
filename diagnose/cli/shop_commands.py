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
  diagnose jobs list --state bench           what waits at the bench
  diagnose jobs ticket 1124-07 --width 32    the customer's ticket for a receipt roll
  diagnose jobs sheet 1124-07 --html s.html  the mechanic's sheet as a page to print
  diagnose jobs close 1124-07                what was found, in a minute
  diagnose jobs report --html report.html    the foreman's report
"""


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
        group = commands.add_parser(name, help=words, epilog=examples, formatter_class=form)
        self._actions = group.add_subparsers(dest="action", metavar="ACTION", required=True)
        self._common = common

    def action(
        self, name: str, words: str, module: str, *options: str, function: str = ""
    ) -> argparse.ArgumentParser:
        """An action with the options that several share."""
        sub: argparse.ArgumentParser = self._actions.add_parser(
            name, help=words, allow_abbrev=False
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
    listed.add_argument(
        "--state",
        default="",
        choices=("", "new", "counter", "booked", "declined", "bench", "closed"),
        help="only jobs in this state",
    )
    listed.add_argument("--by", default="", metavar="AB", help="only this person's jobs")
    listed.add_argument("--limit", type=int, default=20, metavar="N")
    group.action("show", "state, last judgement, how to go on", "jobs", "job", "store", "json")
    for name, words in (
        ("ticket", "the customer's ticket"),
        ("sheet", "the mechanic's job sheet"),
        ("handover", "the card that goes back with the shock"),
    ):
        group.action(name, words, "papers", "job", "store", "json", "paper")
    _closing(group)
    erase = group.action("erase", "blank the customer's words for good", "jobs", "job", "store")
    erase.add_argument("--yes", action="store_true", help="it cannot be taken back")
    export = group.action("export", "all jobs as lines of JSON, or a table", "exchange", "store")
    export.add_argument("file", help="file to write, - for standard output")
    export.add_argument("--csv", action="store_true", help="one row a job, for a spreadsheet")
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


def _closing(group: _Group) -> None:
    close = group.action(
        "close", "what was found, and how it ended", "closing", "job", "store", "json"
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
