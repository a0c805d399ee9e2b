"""``diagnose jobs queue``: every job that is not closed, what ripens next first."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json, store, which_jobs
from diagnose.started import runnable

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
    from diagnose.cli.job_rows import row_lines, standing_of
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
        print("\n".join(row_lines(row, now, columns(), mark)))
    if not rows:
        print(runnable("Nothing waits. All jobs: diagnose jobs list"))
    elif len(rows) < count:
        print(runnable(f"{count - len(rows)} more: diagnose jobs queue --limit {count}"))
    return 0
