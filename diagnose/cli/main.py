"""The command line: one command is run, and what it raises becomes an exit code.

Rules
-----
- Nothing heavy is imported before the command is known.
- Exit codes: 0 done, 1 refused with a reason, 2 wrong usage, 130 interrupted, 143 terminated.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence

import diagnose
from diagnose.cli.commands import COMMANDS, Parser, add_commands
from diagnose.cli.context import Context
from diagnose.errors import DiagnoseError
from diagnose.started import runnable

# Small matrices: a second thread of the linear algebra costs more than it brings.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

_EXAMPLES = """\
examples:
  diagnose                          ask for the complaint and go (the counter)
  diagnose counter --person AB      the same, with initials
  diagnose bench 1124-07            go on at the bench with a job
  diagnose assess job.yaml --json   judge one job from a file, ask nothing, store nothing
  diagnose calc sag --help          one bench calculation by itself
  diagnose knowledge check          read every card and report every problem
"""


def parser() -> Parser:
    """The whole command line."""
    top = Parser(
        prog="diagnose",
        description=diagnose.__doc__,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="store_true", help="version and knowledge fingerprint")
    add_commands(top, COMMANDS, "command")
    return top


def _run(arguments: argparse.Namespace) -> int:
    context = Context(
        getattr(arguments, "knowledge", None),
        getattr(arguments, "cases", None),
        getattr(arguments, "person", ""),
        getattr(arguments, "pack", None),
        getattr(arguments, "job", None),
        getattr(arguments, "job_is_file", False),
        getattr(arguments, "store", None),
    )
    if context.pack_option:
        from diagnose.knowledge.root import knowledge_root, require_pack

        require_pack(knowledge_root(context.knowledge_option), context.pack_option)
    if arguments.version:
        print(f"diagnose {diagnose.__version__}, knowledge {context.knowledge.fingerprint}")
        return 0
    command: Callable[[argparse.Namespace, Context], int] = arguments.run
    return command(arguments, context)


def main(argv: list[str] | None = None) -> int:
    """Run one command and return its exit status."""
    _whole()
    raw = sys.argv[1:] if argv is None else argv
    top = parser()
    try:
        arguments = top.parse_args(command_first(raw))
        return _run(arguments)
    except DiagnoseError as error:
        print(runnable(f"diagnose: {error}"), file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        print("\ndiagnose: interrupted; what was answered is saved.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 2


def command_first(raw: Sequence[str]) -> list[str]:
    """Arguments with the command and its action before all options; none: the counter.

    >>> command_first(["--pack", "rear_coil_shock", "jobs", "--person", "AB", "list"])
    ['jobs', 'list', '--pack', 'rear_coil_shock', '--person', 'AB']
    """
    words: list[str] = []
    rest, below = [*raw], COMMANDS
    while below and not {*rest[:1]} & {"-h", "--help", "--version"}:
        place = next((n for n, word in enumerate(rest) if word in below), None)
        leading = rest[:place] if rest and rest[0].startswith("-") else []
        if place is None or (place and not leading):
            # Options alone are the counter's; anything else is said to be no command.
            return [*words, *rest] if words or (rest and not leading) else ["counter", *rest]
        words.append(rest[place])
        rest, below = [*rest[place + 1 :], *leading], below[rest[place]].actions
    return [*words, *rest]


def _whole() -> None:
    """A stream that was closed for us (``<&-``) is empty, or goes nowhere."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            nowhere = os.open(os.devnull, os.O_RDWR)
            setattr(sys, name, os.fdopen(nowhere, mode, encoding="utf-8"))
