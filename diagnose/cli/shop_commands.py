"""The commands that run the shop's day: jobs, shop, sheet."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from diagnose.cli.group import Group
from diagnose.cli.job_actions import add_closing, add_customer, add_passing, add_shelf

__all__ = ["STATES", "add"]

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

_EXPORT = """\
examples:
  diagnose jobs export all.jsonl           whole jobs; import takes them in
  diagnose jobs export jobs.csv --csv      a table, without the customers' words
  diagnose jobs export calls.csv --calls   closed a fortnight ago: how did it go?
"""

#: states of a job, in the order in which it goes through them
STATES = (
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


def add(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Add the commands to the command line."""
    _jobs(commands, common)
    _shop(commands, common)
    _sheet(commands, common)


def _jobs(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    group = Group(commands, common, "jobs", "the shop's jobs: list, papers, closing", _JOBS)
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
    for sub, limit, states in ((listed, 20, STATES), (waiting, 50, STATES[1:-1])):
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
    add_closing(group)
    add_customer(group)
    add_shelf(group)
    add_passing(group)
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


def _shop(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    group = Group(commands, common, "shop", "the shop's settings: equipment, people, money")
    group.action("show", "the settings in force", "shop", "json")
    group.action("check", "every problem in the shop's file", "shop")


def _sheet(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    group = Group(commands, common, "sheet", "the shop's data sheets of shocks")
    group.action("list", "sheets and what they miss", "sheet", "json", function="list_sheets")
    group.action("show", "one sheet, blanks included", "sheet", "json").add_argument("name")
    put = group.action("set", "write one value", "sheet", function="put")
    put.add_argument("name")
    put.add_argument("field")
    put.add_argument("value")
    use = group.action("use", "put a sheet to a job", "sheet", "job", "store")
    use.add_argument("name")
