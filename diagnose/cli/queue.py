"""``diagnose jobs queue``: every job that is not closed, what ripens next first."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json, store, which_jobs

if TYPE_CHECKING:
    from diagnose.job.queue import Standing
    from diagnose.records.summary import Summary


_EXAMPLES = """\
examples:
  diagnose jobs queue                   a ! marks what is due now
  diagnose jobs queue --state approval  whom to call, the longest waiting first
"""

#: more open jobs than any shop has; the order is made of all of them
_ALL = 100_000


def queue_options(sub: argparse.ArgumentParser) -> None:
    from diagnose.job.queue import STATES

    options.examples(sub, _EXAMPLES)
    options.action(sub, store=True, json=True)
    which_jobs(sub, [state for state in STATES if state not in ("new", "closed")], 50)


def queue(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    from diagnose.job.queue import in_order, ripe, told

    with store(arguments, context) as opened:
        found = opened.find(unfinished=True, state=arguments.state, person=arguments.by, limit=_ALL)
    now = context.clock()
    rows = in_order((standing_of(row), row) for row in found)
    count, rows = len(rows), rows[: max(arguments.limit, 0)]
    if arguments.json:
        print_json(
            [
                {**asdict(row), "ripe": ripe(stand, now), "told": told(stand, now)}
                for stand, row in rows
            ]
        )
        return 0
    for stand, row in rows:
        mark = "! " if ripe(stand, now) else "  "
        print("\n".join(row_lines(row, now, mark)))
    if not rows:
        print("Nothing waits. All jobs: diagnose jobs list")
    elif len(rows) < count:
        print(f"{count - len(rows)} more: diagnose jobs queue --limit {count}")
    return 0


def standing_of(row: Summary) -> Standing:
    """Where a listed job stands."""
    from diagnose.job.queue import Standing

    return Standing(row.state, row.since, row.due)


def row_lines(row: Summary, now: str, mark: str = "") -> list[str]:
    """One job of a list, fitted to the screen."""
    from diagnose.job.queue import told
    from diagnose.reports.wrapping import wrapped

    who = f" ({row.person})" if row.person else ""
    stage = f", {row.stage.replace('_', ' ')}" if row.stage else ""
    said = f": {row.first_words}" if row.first_words else ""
    text = f"{row.job}  {told(standing_of(row), now)}{who}{stage}{said}"
    return wrapped(text, columns(), mark, " " * len(mark) + "    ")
