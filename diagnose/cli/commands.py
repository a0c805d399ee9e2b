"""Which commands there are and in which file each lies, with its options; imported when it is run.

Rules
-----
- A file holds for its command NAME a function ``NAME(arguments, context)`` and, beside it,
  ``NAME_options(parser)``.
- To list the commands imports none of them.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass, field
from importlib import import_module
from typing import Any, NoReturn

from diagnose.cli.context import Context
from diagnose.nearest import nearest
from diagnose.started import runnable

Run = Callable[[argparse.Namespace, Context], int]


@dataclass(frozen=True)
class Command:
    """Where a command lies.

    Attributes
    ----------
    file : below cli. words : what it is for. name : of its function, where that is not the
    command's. actions : of a command that has some. examples : above its help.
    """

    file: str
    words: str
    name: str = ""
    actions: dict[str, Command] = field(default_factory=dict)
    examples: str = ""


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

COMMANDS: dict[str, Command] = {
    "assess": Command("assess", "judge one job from a file"),
    "counter": Command("talk", "a customer's complaint"),
    "bench": Command("talk", "confirm the cause of a job"),
    "knowledge": Command(
        "",
        "the cards: check, show, draw, graph, book",
        actions={
            "check": Command("knowledge", "every problem at once, with file and line"),
            "show": Command("knowledge", "one card as text"),
            "draw": Command("knowledge", "cut open, with what a card points to marked"),
            "graph": Command("knowledge", "the symptom graph or the network, in an open format"),
            "book": Command("knowledge", "the knowledge as linked pages, for a browser"),
            "prove": Command("knowledge", "that no route goes round a caution"),
            "schemas": Command("knowledge", "write the schemas that editors check with"),
            "explain": Command(
                "card_numbers", "why, why not, why this question, what would change it"
            ),
            "sensitivity": Command("card_numbers", "what each number does to a call"),
            "mutate": Command("wrong_cards", "would anybody notice a wrong card?"),
            "compare": Command("wrong_cards", "what two states of the cards say"),
            "simulate": Command("checklist_comparison", "strategy against checklists"),
        },
    ),
    "schema": Command("schema", "JSON Schemas of jobs, judgements and lines"),
    "completion": Command("completion", "completion for a shell, to be sourced"),
    "calc": Command("calc", "one bench calculation by itself"),
    "jobs": Command(
        "",
        "the shop's jobs: list, papers, closing",
        examples=_JOBS,
        actions={
            "list": Command("jobs", "jobs, the latest first", "list_jobs"),
            "morning": Command("morning", "the day on one page: due, to call, to order"),
            "queue": Command("queue", "jobs that are not closed, what ripens next first"),
            "show": Command("jobs", "state, last judgement, how to go on"),
            "ticket": Command("papers", "the customer's ticket"),
            "sheet": Command("papers", "the mechanic's job sheet"),
            "handover": Command("papers", "the card that goes back with the shock"),
            "close": Command("close", "what was found, and how it ended"),
            "quote": Command("agreements", "ask the customer: plan and price; it waits"),
            "approve": Command("agreements", "the customer agrees"),
            "decline": Command("agreements", "the customer declines; keep what was told"),
            "parts": Command("kit", "the kit: what is here, ordered, unknown"),
            "promise": Command("kit", "the day that the customer was told"),
            "hand": Command("handing_on", "give the job to another person"),
            "ready": Command("handing_on", "the work is done"),
            "link": Command("handing_on", "tie a job to another one"),
            "refer": Command("papers", "the referral pack for whoever takes it on"),
            "erase": Command("jobs", "blank the customer's words for good"),
            "export": Command("exchange", "all jobs as lines of JSON, or a table"),
            "import": Command("exchange", "take in exported jobs, none twice", "take_in"),
            "push": Command("exchange", "bring local jobs to another store"),
            "rescue": Command("exchange", "read what is whole in a damaged file"),
            "verify": Command("exchange", "every fault in what is stored"),
            "learn": Command("learn", "what closed jobs say about how often causes occur"),
            "report": Command("report", "the foreman's report"),
        },
    ),
    "shop": Command(
        "",
        "the shop's settings: equipment, people, money",
        actions={
            "show": Command("settings", "the settings in force"),
            "check": Command("settings", "every problem in the shop's file"),
        },
    ),
    "sheet": Command(
        "",
        "the shop's data sheets of shocks",
        actions={
            "list": Command("data_sheets", "sheets and what they miss", "list_sheets"),
            "show": Command("data_sheets", "one sheet, blanks included"),
            "set": Command("data_sheets", "write one value", "put"),
            "use": Command("data_sheets", "put a sheet to a job"),
        },
    ),
    "train": Command("training", "practise on simulated shocks"),
}


class Parser(argparse.ArgumentParser):
    """argparse with options that are read when they are wanted, the nearest names and one error
    form.
    """

    def __init__(self, *, command: tuple[str, Command] | None = None, **more: Any):
        super().__init__(**more, allow_abbrev=False)
        self._command = command

    def read_options(self) -> None:
        """Import the command, once, and take its options."""
        if self._command is None:
            return
        (name, command), self._command = self._command, None
        if command.actions:
            self.description = command.examples or None
            self.formatter_class = argparse.RawDescriptionHelpFormatter
            add_commands(self, command.actions, "action", required=True)
            return
        file, name = import_module(f"diagnose.cli.{command.file}"), command.name or name
        options: Callable[[Parser], None] = getattr(file, f"{name}_options")
        options(self)
        self.set_defaults(run=getattr(file, name))

    def parse_known_args(self, *given: Any, **more: Any) -> Any:
        """As in argparse."""
        self.read_options()
        return super().parse_known_args(*given, **more)

    def error(self, message: str) -> NoReturn:
        """One line: what is wrong, what was meant, where the help is."""
        hint = ""
        if "invalid choice: '" in message:
            wrong = message.split("invalid choice: '")[1].split("'")[0]
            known = [c for a in self._actions if a.choices for c in a.choices]
            option = message.removeprefix("argument ").partition(":")[0]
            what = f"{option} does not take" if option.startswith("-") else "there is no command"
            message = f"{what} '{wrong}'."
            near = nearest(wrong, known, 2, otherwise="")
            hint = f" {near}" if near else ""
        self.exit(2, runnable(f"diagnose: {message}{hint} Help: {self.prog} --help\n"))

    def format_help(self) -> str:
        """As in argparse, with commands that run as they stand."""
        return runnable(super().format_help())


def add_commands(
    top: Parser, commands: dict[str, Command], dest: str, *, required: bool = False
) -> None:
    """Add commands, or the actions of one."""
    rows = top.add_subparsers(
        dest=dest, metavar=dest.upper(), required=required, parser_class=Parser
    )
    for name, command in commands.items():
        rows.add_parser(name, help=command.words, command=(name, command))
