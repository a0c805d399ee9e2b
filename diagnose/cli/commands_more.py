"""The smaller commands: knowledge, calc, jobs; each lies in a file of its own."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from diagnose.cli.context import Context

__all__ = ["add"]


def add(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    common: Callable[[argparse.ArgumentParser], None],
) -> None:
    """Add the commands to the command line."""
    knowledge = commands.add_parser("knowledge", help="the cards: check, show, graph, book")
    actions = knowledge.add_subparsers(dest="action", metavar="ACTION", required=True)
    check = actions.add_parser("check", help="every problem at once, with file and line")
    show = actions.add_parser("show", help="one card as text")
    show.add_argument("id")
    for sub in (check, show):
        common(sub)
    check.set_defaults(run=_knowledge_check)
    show.set_defaults(run=_knowledge_show)


def _knowledge_check(arguments: argparse.Namespace, context: Context) -> int:
    from diagnose.cli.knowledge import check

    return check(arguments, context)


def _knowledge_show(arguments: argparse.Namespace, context: Context) -> int:
    from diagnose.cli.knowledge import show

    return show(arguments, context)
