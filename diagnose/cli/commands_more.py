"""The smaller commands; each lies in a file of its own, imported when it is called."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any

from diagnose.cli import shop_commands, training
from diagnose.cli.context import Context

__all__ = ["add"]

Command = Callable[[argparse.Namespace, Context], int]

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[Any]


def _later(module: str, name: str) -> Command:
    """The command of that name, imported when it is run."""

    def run(arguments: argparse.Namespace, context: Context) -> int:
        command: Command = getattr(import_module(f"diagnose.cli.{module}"), name)
        return command(arguments, context)

    return run


def add(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    """Add the commands to the command line."""
    _knowledge(commands, common)
    shop_commands.add(commands, common)
    training.add(commands, common)
    schema = commands.add_parser("schema", help="JSON Schemas of jobs, judgements and lines")
    schema.add_argument("name", choices=("judgement", "job", "lines"))
    schema.set_defaults(run=_later("schema", "schema"))
    shell = commands.add_parser("completion", help="completion for a shell, to be sourced")
    shell.add_argument("shell", choices=("bash", "zsh", "fish"))
    shell.set_defaults(run=_later("completion", "completion"))
    calc = commands.add_parser("calc", help="one bench calculation by itself")
    calc.add_argument("name", nargs="?", help="which; without it they are listed")
    calc.add_argument("values", nargs="*", metavar="input=value", help="such as before='165 psi'")
    calc.add_argument("--json", action="store_true", help="the result as JSON")
    calc.set_defaults(run=_later("calc", "calc"))


def _knowledge(commands: Commands, common: Callable[[argparse.ArgumentParser], None]) -> None:
    knowledge = commands.add_parser("knowledge", help="the cards: check, show, graph, book")
    actions = knowledge.add_subparsers(dest="action", metavar="ACTION", required=True)

    def action(name: str, words: str) -> argparse.ArgumentParser:
        sub: argparse.ArgumentParser = actions.add_parser(name, help=words)
        common(sub)
        sub.set_defaults(run=_later("knowledge", name))
        return sub

    action("check", "every problem at once, with file and line")
    show = action("show", "one card as text")
    show.add_argument("id")
    show.add_argument("--width", type=int, default=80)
    graph = action("graph", "the symptom graph or the network, in an open format")
    graph.add_argument("--format", choices=("dot", "json", "bif"), default="dot")
    book = action("book", "the knowledge as linked pages, for a browser")
    book.add_argument("directory")
    action("prove", "that no route goes round a caution")
    action("schemas", "write the schemas that editors check with")
