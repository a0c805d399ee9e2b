"""One command with its actions, each imported when it is run; help begins with examples."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Any

from diagnose.cli.context import Context

__all__ = ["Command", "Group", "later"]

Command = Callable[[argparse.Namespace, Context], int]

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[Any]


def later(module: str, name: str) -> Command:
    """The command of that name, imported when it is run."""

    def run(arguments: argparse.Namespace, context: Context) -> int:
        command: Command = getattr(import_module(f"diagnose.cli.{module}"), name)
        return command(arguments, context)

    return run


class Group:
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
        sub.set_defaults(run=later(module, function or name))
        return sub
