"""``diagnose assess JOB.yaml``: one job in, one Judgement out; nothing asked, nothing stored."""

from __future__ import annotations

import argparse

from diagnose.cli import options
from diagnose.cli.context import Context

__all__ = ["assess", "assess_options"]


def assess_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)
    sub.add_argument("job", help="YAML or JSON file, - for standard input")
    sub.set_defaults(job_is_file=True)
    sub.add_argument("--json", action="store_true", help="the Judgement as JSON")
    sub.add_argument("--width", type=int, default=None, help="columns of the text")


def assess(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    from diagnose.job.job_file import events_of
    from diagnose.job.state import fold
    from diagnose.reasoning.judgement import judge
    from diagnose.reasoning.reasoner import Reasoner
    from diagnose.reports.judgement_text import judgement_text

    data = context.job_data
    events, warnings = events_of(data, context.knowledge)
    # The knowledge alone, without this shop's money and history: the same bytes on any machine.
    reasoner = Reasoner(context.knowledge)
    judgement = judge(reasoner, reasoner.view(fold(events)), warnings)
    if arguments.json:
        print(judgement.model_dump_json(indent=2))
    else:
        print(judgement_text(judgement, arguments.width))
    return 0
