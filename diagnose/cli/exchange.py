"""``diagnose jobs export|import|push|rescue|verify``: whole jobs in and out, and their health."""

from __future__ import annotations

import argparse
import sys
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import IO, TYPE_CHECKING

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json, store
from diagnose.errors import InputError
from diagnose.started import runnable

if TYPE_CHECKING:
    from collections.abc import Iterator

    from diagnose.records.exchange import Moved


_EXPORT = """\
examples:
  diagnose jobs export all.jsonl           whole jobs; import takes them in
  diagnose jobs export jobs.csv --csv      a table, without the customers' words
  diagnose jobs export calls.csv --calls   closed a fortnight ago: how did it go?
  diagnose jobs export - --heard           words heard, confirmed or struck out: for the corpus
"""


@contextmanager
def _opened(name: str, mode: str) -> Iterator[IO[str]]:
    """A file by name, or a standard stream for ``-``."""
    if name == "-":
        yield sys.stdout if mode == "w" else sys.stdin
        return
    try:
        with Path(name).open(mode, encoding="utf-8", newline="" if mode == "w" else None) as file:
            yield file
    except OSError as error:
        raise InputError(
            f"cannot be used: {error.strerror}.", where=name, next_step="Check name and rights."
        ) from error


def export_options(sub: argparse.ArgumentParser) -> None:
    options.examples(sub, _EXPORT)
    options.action(sub, store=True)
    sub.add_argument("file", help="file to write, - for standard output")
    sub.add_argument("--csv", action="store_true", help="one row a job, for a spreadsheet")
    sub.add_argument(
        "--calls", action="store_true", help="only whom to ask now how it went, as a table"
    )
    sub.add_argument(
        "--heard",
        action="store_true",
        help="what of the customers' words was confirmed or struck out, as lines for the corpus",
    )


def export(arguments: argparse.Namespace, context: Context) -> int:
    """All jobs as lines of JSON, or a table of one row a job."""
    from diagnose.records.exchange import export_jsonl
    from diagnose.reports.exports import write_csv

    with store(arguments, context) as jobs, _opened(arguments.file, "w") as out:
        if arguments.csv or arguments.calls:
            count = write_csv(
                ((job.name, job.events) for job in jobs.all_jobs()),
                out,
                context.shop.service_hours,
                context.clock() if arguments.calls else "",
            )
        elif arguments.heard:
            from diagnose.reports.corpus import write_corpus

            reasoner = context.reasoner
            count = write_corpus((job.events for job in jobs.all_jobs()), reasoner, out)
        else:
            count = export_jsonl(jobs, out)
    if arguments.file != "-":
        what = "readings" if arguments.heard else "jobs"
        print(f"{count} {what} written to {arguments.file}")
    return 0


def take_in_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, store=True, json=True)
    sub.add_argument("file", help="file that export wrote, - for standard input")


def take_in(arguments: argparse.Namespace, context: Context) -> int:
    """Take in lines that export wrote; doing it twice changes nothing."""
    from diagnose.records.exchange import import_jsonl

    with store(arguments, context) as jobs, _opened(arguments.file, "r") as lines:
        return _moved(arguments, import_jsonl(jobs, lines, where=arguments.file))


def push_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, store=True, json=True)
    sub.add_argument("target", metavar="URL", help="the store that takes them in")


def push(arguments: argparse.Namespace, context: Context) -> int:
    """Bring every job of this store into another one."""
    from diagnose.records.exchange import push as push_jobs
    from diagnose.records.places import open_store

    with store(arguments, context) as jobs, open_store(arguments.target) as target:
        return _moved(arguments, push_jobs(jobs, target))


def _moved(arguments: argparse.Namespace, moved: Moved) -> int:
    if arguments.json:
        print_json(asdict(moved))
    else:
        kinds = ("added", "extended", "unchanged")
        print(", ".join(f"{len(getattr(moved, kind))} {kind}" for kind in kinds))
        for old, new in moved.renamed.items():
            print(f"Job {old} is called {new} here.")
        for job, why in moved.conflicts.items():
            print(f"Job {job} was left as it is: {why}", file=sys.stderr)
    return 1 if moved.conflicts else 0


def rescue_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, json=True)
    sub.add_argument("file", help="the damaged job file")
    sub.add_argument("into", help="new file; it must not exist")


def rescue(arguments: argparse.Namespace, context: Context) -> int:
    """Read what is whole in a damaged file into a new one."""
    from diagnose.records.rescue import rescue as rescue_file

    found = rescue_file(Path(arguments.file), Path(arguments.into))
    if arguments.json:
        print_json(asdict(found))
    else:
        print(f"{found.jobs} jobs with {found.events} events are whole in {arguments.into}")
        for line in found.lost:
            print(line)
        print(runnable(f"Look at it: diagnose jobs list --store {arguments.into}"))
        print("Then keep the damaged file elsewhere, and give the new one its name.")
    return 1 if found.lost else 0


def verify_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, store=True, json=True)


def verify(arguments: argparse.Namespace, context: Context) -> int:
    """Every fault in what is stored."""
    with store(arguments, context) as jobs:
        faults = jobs.verify()
    if arguments.json:
        print_json({"faults": faults})
    else:
        print("\n".join(faults) if faults else "Everything stored is whole.")
    return 1 if faults else 0
