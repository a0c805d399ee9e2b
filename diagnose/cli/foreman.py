"""``diagnose jobs report``: the foreman's report, as text, as a page, or its sums as JSON."""

from __future__ import annotations

import argparse

from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json, store
from diagnose.cli.papers import write_page

__all__ = ["report"]


def report(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    from diagnose.reports.foreman import foreman_page, foreman_text
    from diagnose.reports.foreman_figures import ForemanFigures

    figures = ForemanFigures(context.knowledge, context.shop.economics(context.knowledge))
    with store(arguments, context) as jobs:
        for name, outcome in jobs.outcomes():
            if outcome.pack == context.knowledge.pack.id and outcome.opened >= arguments.since:
                figures.add(name, outcome)
    if arguments.html:
        write_page(
            arguments.html, foreman_page(figures, name=context.shop.name, paper=arguments.paper)
        )
    elif arguments.json:
        print_json(figures.sums())
    else:
        width = max(24, arguments.width or columns())
        print(foreman_text(figures, width, name=context.shop.name), end="")
    return 0
