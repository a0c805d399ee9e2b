"""Options of the commands about the cards, and of those that need no job: schema, completion, calc.

Each command lies in a file of its own, imported when it is called.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from diagnose.cli.group import later

__all__ = ["add"]

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[Any]


def add(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Add the commands to the command line."""
    _knowledge(commands, common)
    schema = commands.add_parser("schema", help="JSON Schemas of jobs, judgements and lines")
    common(schema)
    schema.add_argument("name", choices=("judgement", "job", "lines"))
    schema.set_defaults(run=later("schema", "schema"))
    shell = commands.add_parser("completion", help="completion for a shell, to be sourced")
    shell.add_argument("shell", choices=("bash", "zsh", "fish"))
    shell.set_defaults(run=later("completion", "completion"))
    calc = commands.add_parser("calc", help="one bench calculation by itself")
    calc.add_argument("name", nargs="?", help="which; without it they are listed")
    calc.add_argument("values", nargs="*", metavar="input=value", help="such as before='165 psi'")
    calc.add_argument("--json", action="store_true", help="the result as JSON")
    calc.set_defaults(run=later("calc", "calc"))


def _knowledge(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    knowledge = commands.add_parser("knowledge", help="the cards: check, show, graph, book")
    actions = knowledge.add_subparsers(dest="action", metavar="ACTION", required=True)

    def action(name: str, words: str) -> argparse.ArgumentParser:
        sub: argparse.ArgumentParser = actions.add_parser(name, help=words)
        common(sub)
        sub.set_defaults(run=later("knowledge", name))
        return sub

    check = action("check", "every problem at once, with file and line")
    check.add_argument("--watch", action="store_true", help="again whenever a file changes")
    show = action("show", "one card as text")
    show.add_argument("id")
    show.add_argument("--width", type=int, default=80)
    graph = action("graph", "the symptom graph or the network, in an open format")
    graph.add_argument("--format", choices=("dot", "json", "bif"), default="dot")
    book = action("book", "the knowledge as linked pages, for a browser")
    book.add_argument("directory")
    action("prove", "that no route goes round a caution")
    action("schemas", "write the schemas that editors check with")
    _instruments(actions, common)


def _instruments(actions: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """What shows an author what the numbers of the cards do."""

    def action(module: str, name: str, words: str, sample: str = "") -> argparse.ArgumentParser:
        sub: argparse.ArgumentParser = actions.add_parser(name, help=words)
        common(sub)
        sub.add_argument("--json", action="store_true", help="all of it as JSON")
        if sample:
            sub.add_argument("--sample", type=int, metavar="N", help=f"only N {sample}")
            sub.add_argument("--seed", type=int, default=1, help="of what is drawn (default 1)")
        sub.set_defaults(run=later(module, name))
        return sub

    why = action("card_numbers", "explain", "why, why not, why this question, what would change it")
    why.add_argument("job", help="YAML or JSON file, - for standard input")
    why.set_defaults(job_is_file=True)
    why.add_argument("--cause", metavar="ID", help="which cause it is not; the second without it")
    numbers = action("card_numbers", "sensitivity", "what each number does to a call", "jobs")
    numbers.add_argument("job", nargs="?", help="one job; without it all pictures and cases")
    numbers.set_defaults(job_is_file=True)
    numbers.add_argument("--cause", metavar="ID", help="of one job: which; the first without it")
    wrong = action("wrong_cards", "mutate", "would anybody notice a wrong card?", "of each kind")
    wrong.add_argument("--kind", action="append", metavar="KIND", help="only this kind, again")
    changed = action("wrong_cards", "compare", "what two states of the cards say", "jobs")
    changed.add_argument("old", help="folder of the knowledge as it was")
    changed.add_argument("new", help="folder of the knowledge as it is")
    changed.add_argument("--store", metavar="URL", help="job store with the stored jobs")
    changed.add_argument("--stored", type=int, default=200, help="so many of the latest jobs")
    changed.add_argument("--most", type=int, default=40, help="changes that are printed")
    lists = action("checklist_comparison", "simulate", "strategy against checklists", "complaints")
    lists.add_argument("--svg", metavar="FILE", help="write the picture")
    lists.add_argument("--plain", action="store_true", help="plain characters only")
