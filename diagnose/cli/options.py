"""Options that several commands share."""

from __future__ import annotations

import argparse

Parser = argparse.ArgumentParser


def examples(sub: Parser, text: str) -> None:
    """Help that begins with examples."""
    sub.description = text
    sub.formatter_class = argparse.RawDescriptionHelpFormatter


def knowledge(sub: Parser) -> None:
    """Where the cards and the cases lie."""
    sub.add_argument("--knowledge", metavar="DIR", help="folder of the knowledge files")
    sub.add_argument("--cases", metavar="DIR", help="folder of the cases")
    sub.add_argument(
        "--pack", metavar="NAME", help="pack of the device; a job goes on with its own"
    )


def action(sub: Parser, *, job: bool = False, store: bool = False, json: bool = False) -> None:
    """What an action of the office takes.

    Parameters
    ----------
    job : it is about one job. store : it reads the job store. json : its result can be read by
    another program.
    """
    knowledge(sub)
    sub.add_argument("--person", default="", metavar="AB", help="your initials")
    if job:
        sub.add_argument("job", help="job number")
    if store:
        sub.add_argument("--store", metavar="URL", help="job store: a file, or a database URL")
    if json:
        sub.add_argument("--json", action="store_true", help="the result as JSON")


def instrument(sub: Parser, sample: str = "") -> None:
    """What an instrument for authors takes; ``sample``: what it can be shown a part of."""
    knowledge(sub)
    sub.add_argument("--json", action="store_true", help="all of it as JSON")
    if sample:
        sub.add_argument("--sample", type=int, metavar="N", help=f"only N {sample}")
        sub.add_argument("--seed", type=int, default=1, help="of what is drawn (default 1)")


def paper(sub: Parser) -> None:
    """How it is printed."""
    sub.add_argument("--html", metavar="FILE", help="write a page to print instead of text")
    sub.add_argument("--width", type=int, metavar="N", help="columns of the text")
    sub.add_argument("--paper", choices=("printer", "a4", "receipt"), default="printer")


def talk(sub: Parser) -> None:
    """How a conversation is held."""
    sub.add_argument("--json-lines", action="store_true", help="one JSON object a line")
    sub.add_argument("--plain", action="store_true", help="line by line, for screen readers")
    sub.add_argument(
        "--idle",
        type=float,
        default=5.0,
        metavar="MIN",
        help="blank the screen after so many minutes without a key; 0 never (default 5)",
    )
