"""``diagnose assess JOB.yaml``: one job in, one Judgement out; nothing asked, nothing stored."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.errors import InputError


def read_job(name: str) -> dict[str, Any]:
    """The job in a file, or on standard input for ``-``; YAML or JSON.

    Raises
    ------
    InputError : not to be read, not YAML, not a mapping.
    """
    from diagnose.knowledge.yaml_lines import parse_text

    where = "standard input" if name == "-" else name
    try:
        raw = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
        text = raw.decode("utf-8-sig")
    except OSError as error:
        raise InputError(
            f"cannot be read: {error.strerror}.", where=where, next_step="Check name and rights."
        ) from error
    except UnicodeDecodeError as error:
        raise InputError(
            "this is not UTF-8 text.", where=where, next_step="Save as UTF-8."
        ) from error
    problems: list[Any] = []
    document = parse_text(text, where, problems)
    if problems or document is None:
        first = problems[0]
        raise InputError(first.what, where=f"{first.file}:{first.line}", next_step=first.next_step)
    value = {} if document.value is None else document.value
    if not isinstance(value, dict):
        raise InputError(
            "a job is a mapping of fields.",
            where=f"{where}:1",
            next_step="Example: complaint: loses air overnight",
        )
    return value


def assess_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)
    sub.add_argument("job", help="YAML or JSON file, - for standard input")
    sub.add_argument("--json", action="store_true", help="the Judgement as JSON")
    sub.add_argument("--width", type=int, default=None, help="columns of the text")


def assess(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    from diagnose.job.job_file import events_of
    from diagnose.job.state import fold
    from diagnose.reasoning.judgement import judge
    from diagnose.reasoning.reasoner import Reasoner
    from diagnose.reports.judgement_text import judgement_text

    data = read_job(arguments.job)
    events, warnings = events_of(data, context.knowledge)
    # The knowledge alone, without this shop's money and history: the same bytes on any machine.
    reasoner = Reasoner(context.knowledge, cache=context.home / "cache")
    judgement = judge(reasoner, reasoner.view(fold(events)), warnings)
    if arguments.json:
        print(judgement.model_dump_json(indent=2))
    else:
        print(judgement_text(judgement, arguments.width))
    return 0
