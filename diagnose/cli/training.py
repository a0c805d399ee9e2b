"""``diagnose train``: practise, write cases, and what a trainer looks at."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module

from diagnose.cli import options
from diagnose.cli.context import Context

_EXAMPLES = """\
examples:
  diagnose train --person AB                  what was broken off or is due, else something new
  diagnose train --case 04353                 this case, as `list` numbers it
  diagnose train --seed 7                     a drawn one, the same for the same number
  diagnose train --contrast                   two that look alike, one by one, told together
  diagnose train --contrast ONE,OTHER         these two; which there are: diagnose train pairs
  diagnose train --group                      ten minutes, one screen, votes; nothing is kept
  diagnose train list                         the cases; pairs: what looks alike
  diagnose train write 1124-07                a case from a closed job: asks for what is missing
  diagnose train new draft.yaml               check a case and take it in
  diagnose train new 1124-07 --store jobs.sqlite3 > draft.yaml
  diagnose train page training.html           the trainer's page; csv: the same as a table
  diagnose train sign AB air_side --trainer XY    a right at the real bench; --take: away again
  diagnose train erase AB
"""

#: action -> where it lies
_ACTIONS = {
    "start": ("training_session", "start"),
    "new": ("training_cases", "new"),
    "write": ("training_cases", "write_case"),
    "list": ("training_cases", "list_cases"),
    "pairs": ("training_cases", "pairs"),
    "page": ("training_people", "page"),
    "csv": ("training_people", "csv"),
    "sign": ("training_people", "sign"),
    "erase": ("training_people", "erase"),
}


def train_options(sub: argparse.ArgumentParser) -> None:
    sub.epilog = _EXAMPLES
    sub.formatter_class = argparse.RawDescriptionHelpFormatter
    options.knowledge(sub)
    sub.add_argument(
        "action",
        nargs="?",
        default="start",
        choices=tuple(_ACTIONS),
        help="start (default): practise; the others are shown below",
    )
    sub.add_argument("names", nargs="*", metavar="NAME", help="what the action needs")
    sub.add_argument("--person", default="", metavar="AB", help="initials of who practises")
    sub.add_argument("--case", metavar="NUMBER", help="this case, by its number or id")
    sub.add_argument("--seed", type=int, metavar="N", help="a drawn case, or another shock")
    sub.add_argument("--skill", metavar="S/T", help="what to practise, as `list` shows it")
    sub.add_argument(
        "--contrast",
        nargs="?",
        const="",
        metavar="A,B",
        help="two that look alike, one by one; without names any pair",
    )
    sub.add_argument("--group", action="store_true", help="ten minutes, one screen, votes")
    sub.add_argument("--json-lines", action="store_true", help="one JSON object a line")
    sub.add_argument("--plain", action="store_true", help="line by line, for screen readers")
    sub.add_argument("--html", metavar="FILE", help="the debrief as a page to print")
    sub.add_argument("--trainer", default="", metavar="XY", help="initials of who signs")
    sub.add_argument("--take", action="store_true", help="with sign: take the right away")
    sub.add_argument("--store", metavar="URL", help="job store: a file, or a database URL")


def train(arguments: argparse.Namespace, context: Context) -> int:
    """Run the action."""
    module, name = _ACTIONS[arguments.action]
    action: Callable[[argparse.Namespace, Context], int] = getattr(
        import_module(f"diagnose.cli.{module}"), name
    )
    return action(arguments, context)
