"""``diagnose jobs list|show|erase``: what the store holds, without changing a diagnosis."""

from __future__ import annotations

import argparse
import json
import shutil
from contextlib import contextmanager
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.errors import UsageError
from diagnose.started import runnable

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from diagnose.job.state import JobState
    from diagnose.records.store import JobStore


@contextmanager
def store(arguments: argparse.Namespace, context: Context) -> Iterator[JobStore]:
    """The store that the options name, closed afterwards."""
    from diagnose.records.places import open_store

    with open_store(arguments.store or context.job_file) as opened:
        yield opened


def print_json(value: Any) -> None:
    """One JSON value, as every ``--json`` prints it."""
    print(json.dumps(value, indent=2, ensure_ascii=False))


def columns() -> int:
    """Width of the screen, or 80 where there is none."""
    return min(shutil.get_terminal_size((80, 24)).columns, 100)


def say(text: str) -> None:
    """Print sentences, fitted to the screen."""
    from diagnose.reports.wrapping import wrapped

    print("\n".join(wrapped(text, columns())))


def list_jobs_options(sub: argparse.ArgumentParser) -> None:
    from diagnose.job.queue import STATES

    options.action(sub, store=True, json=True)
    sub.add_argument("--search", default="", metavar="WORDS", help="words that must all occur")
    which_jobs(sub, STATES, 20)


def which_jobs(sub: argparse.ArgumentParser, states: Iterable[str], limit: int) -> None:
    """Options of a list of jobs."""
    sub.add_argument("--state", default="", choices=tuple(states), help="only jobs in this state")
    sub.add_argument("--by", default="", metavar="AB", help="only this person's jobs")
    sub.add_argument("--limit", type=int, default=limit, metavar="N")


def list_jobs(arguments: argparse.Namespace, context: Context) -> int:
    """The jobs, the one written to last first."""
    with store(arguments, context) as opened:
        found = opened.find(
            search=arguments.search,
            state=arguments.state,
            person=arguments.by,
            limit=arguments.limit,
        )
    if arguments.json:
        print_json([asdict(summary) for summary in found])
        return 0
    from diagnose.cli.job_rows import row_lines

    now = context.clock()
    for row in found:
        print("\n".join(row_lines(row, now, columns())))
    if not found:
        print(runnable("No job like that. All of them: diagnose jobs list"))
    return 0


def show_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, job=True, store=True, json=True)


def show(arguments: argparse.Namespace, context: Context) -> int:
    """State, last judgement and how to go on with a job."""
    from diagnose.job.agreement import agreed_words
    from diagnose.job.queue import promised_day, standing, told
    from diagnose.job.state import fold
    from diagnose.records.summary import summarise

    with store(arguments, context) as opened:
        events = opened.load(arguments.job)
    job = fold(events)
    row = summarise(arguments.job, events)
    stand, now = standing(job), context.clock()
    resume = resume_command(arguments.job, job)
    if arguments.json:
        print_json(
            {
                "job": arguments.job,
                "state": stand.state,
                "since": stand.since,
                "due": stand.due,
                "promised": promised_day(job),
                "opened": row["opened"],
                "changed": row["changed"],
                "person": job.person,
                "events": job.count,
                "complaint": job.complaint,
                # Other programs look for what the office keeps among the fields of the shock.
                "shock": {**job.shock, **job.facts.known()},
                "closed": job.closed.model_dump() if job.closed else None,
                "answers": [answer.model_dump(mode="json") for answer in job.answers],
                "kit": {item: line.model_dump(mode="json") for item, line in job.kit.items()},
                "judgement": job.last_judged,
                "resume": resume,
            }
        )
        return 0
    agreed = agreed_words(context.knowledge, job, context.reasoner.money.currency)
    print(_shown(arguments.job, row, job, [told(stand, now), agreed], resume))
    return 0


def _shown(name: str, row: dict[str, str], job: JobState, said: list[str], resume: str) -> str:
    from diagnose.reports.wrapping import wrapped

    width = columns()
    lines = wrapped(f"Job {name}: {said[0]}, {job.person or 'nobody named'}", width)
    lines += wrapped(f"opened {row['opened']}, last change {row['changed']}", width)
    if job.complaint:
        lines += wrapped(f"“{job.complaint}”", width)
    if job.closed is not None:
        found = ", ".join(job.closed.found).replace("_", " ") or "nothing was wrong"
        lines += wrapped(f"found: {found} {job.closed.words}".rstrip(), width)
    lines += wrapped(said[1], width) if said[1] else []
    for part in intake_words(job):
        lines += wrapped(part, width)
    lines += ["", *_last_judgement(job, width)]
    lines += ["", *wrapped(f"Go on with: {resume}", width)]
    return "\n".join(lines)


def _last_judgement(job: JobState, width: int) -> list[str]:
    from pydantic import ValidationError

    from diagnose.reasoning.judgement import Judgement
    from diagnose.reports.judgement_text import judgement_text

    if job.last_judged is None:
        return ["Not judged yet."]
    try:
        return [judgement_text(Judgement.model_validate(job.last_judged), width).rstrip()]
    except ValidationError:
        # A job of an older version; what it said still stands in --json.
        return ["The last judgement was written by another version; see it with --json."]


def intake_words(job: JobState) -> list[str]:
    """What was noted of the bike and its things, a line each."""
    lines, facts = [], job.facts.known()
    for field in ("tag", "bike", "customer", "accessories", "marks", "comeback_of", "same_bike"):
        value = facts.get(field)
        if value:
            text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
            lines.append(f"{field.replace('_', ' ')}: {text}")
    if job.referred is not None:
        lines.append(f"referred to: {job.referred.to}")
    return lines


def resume_command(name: str, job: JobState) -> str:
    """The command that goes on with a job."""
    if job.closed is not None:
        return f"diagnose jobs handover {name}"
    return f"diagnose {'bench' if job.at == 'bench' else 'counter'} {name}"


def erase_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, job=True, store=True)
    sub.add_argument("--yes", action="store_true", help="it cannot be taken back")


def erase(arguments: argparse.Namespace, context: Context) -> int:
    """Blank the customer's words and names in a job for good."""
    if not arguments.yes:
        raise UsageError(
            "erasing cannot be taken back.",
            where=f"job {arguments.job}",
            next_step=f"If it is meant: diagnose jobs erase {arguments.job} --yes",
        )
    with store(arguments, context) as opened:
        opened.erase_customer(arguments.job, person=arguments.person, time=context.clock())
    print(f"The customer's words and names are gone from job {arguments.job}.")
    return 0
