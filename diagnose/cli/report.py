"""``diagnose jobs report``: the foreman's report, as text, as a page, or its sums as JSON."""

from __future__ import annotations

import argparse

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json, store
from diagnose.cli.papers import put_out


def report_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, store=True, json=True)
    options.paper(sub)
    sub.add_argument("--since", default="", metavar="DATE", help="jobs opened from this day on")


def report(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    from diagnose.reports.foreman import foreman_report
    from diagnose.reports.foreman_figures import ForemanFigures

    figures = ForemanFigures(context.knowledge, context.shop.economics(context.knowledge))
    with store(arguments, context) as jobs:
        for name, outcome in jobs.outcomes():
            if outcome.pack == context.knowledge.pack.id and outcome.opened >= arguments.since:
                figures.add(name, outcome)
    if arguments.json and not arguments.html:
        print_json(figures.sums())
    else:
        put_out(arguments, foreman_report(figures, name=context.shop.name))
    return 0
