"""The command line: which command, with which options; everything else lies in its own file.

Rules
-----
- Nothing heavy is imported before the command is known.
- Exit codes: 0 done, 1 refused with a reason, 2 wrong usage, 130 interrupted, 143 terminated.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from typing import NoReturn

import diagnose
from diagnose.cli.context import Context
from diagnose.errors import DiagnoseError
from diagnose.nearest import nearest

__all__ = ["main", "parser"]

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


class _Parser(argparse.ArgumentParser):
    """argparse with the nearest names and one error form."""

    def error(self, message: str) -> NoReturn:
        hint = ""
        if "invalid choice: '" in message:
            wrong = message.split("invalid choice: '")[1].split("'")[0]
            known = [c for a in self._actions if a.choices for c in a.choices]
            option = message.removeprefix("argument ").partition(":")[0]
            what = f"{option} does not take" if option.startswith("-") else "there is no command"
            message = f"{what} '{wrong}'."
            near = nearest(wrong, known, 2, otherwise="")
            hint = f" {near}" if near else ""
        self.exit(2, f"diagnose: {message}{hint} Help: {self.prog} --help\n")


def _common(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--knowledge", metavar="DIR", help="folder of the knowledge files")
    sub.add_argument("--cases", metavar="DIR", help="folder of the cases")
    sub.add_argument(
        "--pack", metavar="NAME", help="pack of the device; a job goes on with its own"
    )


def _talking(sub: argparse.ArgumentParser) -> None:
    _common(sub)
    sub.add_argument("--person", default="", metavar="AB", help="initials of whoever answers")
    sub.add_argument("--json-lines", action="store_true", help="one JSON object a line")
    sub.add_argument("--plain", action="store_true", help="line by line, for screen readers")
    sub.add_argument("--store", metavar="URL", help="job store: a file, or a database URL")
    sub.add_argument(
        "--idle",
        type=float,
        default=5.0,
        metavar="MIN",
        help="blank the screen after so many minutes without a key; 0 never (default 5)",
    )


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    top = _Parser(
        prog="diagnose",
        description=__import__("diagnose").__doc__,
        epilog=_EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    top.add_argument("--version", action="store_true", help="version and knowledge fingerprint")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", parser_class=_Parser)

    assess = commands.add_parser("assess", help="judge one job from a file", allow_abbrev=False)
    _common(assess)
    assess.add_argument("job", help="YAML or JSON file, - for standard input")
    assess.set_defaults(job_is_file=True)
    assess.add_argument("--json", action="store_true", help="the Judgement as JSON")
    assess.add_argument("--width", type=int, default=None, help="columns of the text")

    counter = commands.add_parser("counter", help="a customer's complaint", allow_abbrev=False)
    _talking(counter)
    counter.add_argument("job", nargs="?", help="go on with this job")
    counter.add_argument(
        "--channel",
        choices=("bike_here", "shock_only", "phone", "mail"),
        help="how the shock comes in: bike_here unless told; with a job, how it came after all",
    )
    from diagnose.cli import intake

    intake.add_options(counter)

    bench = commands.add_parser("bench", help="confirm the cause of a job", allow_abbrev=False)
    _talking(bench)
    bench.add_argument("job", help="job number, or a job file")
    bench.add_argument(
        "--list", action="store_true", help="print the checks worth doing, to tick on paper"
    )
    bench.add_argument("--html", metavar="FILE", help="with --list: write a page to print instead")
    bench.add_argument(
        "--results", type=int, default=0, metavar="LIST", help="type the results of a printed list"
    )

    from diagnose.cli import knowledge_commands, shop_commands, training

    knowledge_commands.add(commands, _common)
    shop_commands.add(commands, _common)
    training.add(commands, _common)
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
    if arguments.version:
        print(f"diagnose {diagnose.__version__}, knowledge {context.knowledge.fingerprint}")
        return 0
    command: Callable[[argparse.Namespace, Context], int]
    if arguments.command == "assess":
        from diagnose.cli.assess import assess as command
    elif arguments.command in (None, "counter", "bench"):
        from diagnose.cli.talking import talking as command
    else:
        command = arguments.run
    return command(arguments, context)


def main(argv: list[str] | None = None) -> int:
    """Run one command and return its exit status."""
    raw = sys.argv[1:] if argv is None else argv
    top = parser()
    try:
        arguments = top.parse_args(raw if raw else ["counter"])
        return _run(arguments)
    except DiagnoseError as error:
        print(f"diagnose: {error}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        print("\ndiagnose: interrupted; what was answered is saved.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 2
