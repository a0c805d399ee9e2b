"""``diagnose jobs morning``: the foreman's day on one page, as text or to print."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import store
from diagnose.cli.papers import put_out

if TYPE_CHECKING:
    from diagnose.job.state import JobState
    from diagnose.reports.morning import OpenJob

#: more open jobs than any shop has
_ALL = 100_000

_EXAMPLES = """\
examples:
  diagnose jobs morning                     what is due, whom to call, what to order
  diagnose jobs morning --html morning.html the same to print
"""


def morning_options(sub: argparse.ArgumentParser) -> None:
    options.examples(sub, _EXAMPLES)
    options.action(sub, store=True)
    options.paper(sub)


def morning(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    from diagnose.job.state import fold
    from diagnose.reports.foreman_figures import ForemanFigures
    from diagnose.reports.morning import morning as page

    figures = ForemanFigures(context.knowledge, context.shop.economics(context.knowledge))
    own = context.knowledge.pack.id
    with store(arguments, context) as opened:
        for name, outcome in opened.outcomes():
            if outcome.pack == own:
                figures.add(name, outcome)
        names = [row.job for row in opened.find(unfinished=True, limit=_ALL)]
        jobs = {name: fold(opened.load(name)) for name in names}
    mine = [_open(context, name, job) for name, job in jobs.items() if job.pack in ("", own)]
    put_out(arguments, page(mine, figures, context.clock(), name=context.shop.name))
    return 0


def _open(context: Context, name: str, job: JobState) -> OpenJob:
    """A job with what is planned for it, as judged now."""
    from diagnose.conversation.kit import kit_of
    from diagnose.reasoning.judgement import judge
    from diagnose.reports.morning import OpenJob

    judgement = judge(context.reasoner, context.reasoner.view(job))
    planned = " and ".join(line.name for line in (judgement.stage, *judgement.also_stages))
    quote, quoted = "", job.quoted
    if quoted is not None:
        names = " and ".join(context.knowledge.sheets[s].name for s in quoted.stages)
        currency = context.reasoner.money.currency
        quote = names if quoted.price is None else f"{names}, about {quoted.price:.0f} {currency}"
    tools = {*context.knowledge.pack.tools}
    parts = tuple(item for item in kit_of(context.reasoner, job) if item not in tools)
    return OpenJob(name, job, planned, parts, quote)
