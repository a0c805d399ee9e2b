"""``diagnose completion bash|zsh|fish``: what a shell needs to complete commands and options."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator

import shtab

from diagnose.cli.commands import Parser
from diagnose.cli.context import Context
from diagnose.started import started

#: a comment of the library's with an address in it
_ADDRESS = re.compile(r"^\s*#.*https?://")


def completion_options(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("shell", choices=("bash", "zsh", "fish"))


def completion(arguments: argparse.Namespace, context: Context) -> int:
    """Print the script of one shell, without anybody's address in it.

    A shell completes what is on its path; where we were started in another way, that is said.
    """
    from diagnose.cli.main import parser

    top = parser()
    _read_all(top)
    if arguments.shell == "fish":
        print("\n".join(fish(top)))
    else:
        script = shtab.complete(top, arguments.shell).splitlines()
        print("\n".join(row for row in script if not _ADDRESS.search(row)))
    if started() != "diagnose":
        print(f"Not on the path: this works for alias diagnose='{started()}'", file=sys.stderr)
    return 0


def _read_all(top: Parser) -> None:
    """The options of every command; else they are read when one is run."""
    top.read_options()
    for _, sub in _commands(top):
        _read_all(sub)


def fish(top: Parser) -> Iterator[str]:
    """Lines for fish, which the library does not know: commands, their actions and options."""
    yield "complete -c diagnose -f"
    for name, sub in _commands(top):
        yield f"complete -c diagnose -n __fish_use_subcommand -a {name}"
        seen = f"'__fish_seen_subcommand_from {name}'"
        for inner, _ in _commands(sub):
            yield f"complete -c diagnose -n {seen} -a {inner}"
        for action in sub._actions:
            for option in action.option_strings:
                if option.startswith("--"):
                    yield f"complete -c diagnose -n {seen} -l {option[2:]}"


def _commands(parser: Parser) -> Iterator[tuple[str, Parser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from action.choices.items()
