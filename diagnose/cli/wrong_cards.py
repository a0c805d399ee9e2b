"""``diagnose knowledge mutate|compare``: what wrong and what changed cards do to jobs."""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.cli import options
from diagnose.cli.card_numbers import chosen_jobs, sampled, say
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json
from diagnose.cli.progress import Progress
from diagnose.errors import InputError, UsageError

if TYPE_CHECKING:
    from diagnose.job.events import Event


#: survivors and changes that are printed; ``--json`` has all
_SHOWN = 30


def mutate_options(sub: argparse.ArgumentParser) -> None:
    options.instrument(sub, "of each kind")
    sub.add_argument("--kind", action="append", metavar="KIND", help="only this kind, again")


def mutate(arguments: argparse.Namespace, context: Context) -> int:
    """How much of what could be wrong with the cards would be noticed, and by what."""
    from diagnose.analysis.mutation import KINDS, mutants
    from diagnose.analysis.noticing import Noticed, Readers
    from diagnose.analysis.written import Caller, Written, written_jobs
    from diagnose.casebook.cases import load_cases
    from diagnose.knowledge.root import cases_root

    caller = Caller(context.knowledge)
    kinds = arguments.kind or list(KINDS)
    for kind in kinds:
        if kind not in KINDS:
            raise InputError(
                f"there is no kind '{kind}'.",
                where="--kind",
                next_step=f"Kinds: {', '.join(KINDS)}.",
            )
    wrong = [
        m for kind in kinds for m in sampled(list(mutants(context.knowledge, [kind])), arguments)
    ]
    cases = load_cases(cases_root(context.cases_option), caller.knowledge)
    progress, readers = Progress(), Readers(caller)

    def read(written: Written) -> None:
        readers.read(written)

    progress.each(read, written_jobs(caller.knowledge, cases), "written down")
    noticed: list[Noticed] = progress.each(readers.notice, wrong, "wrong packs")
    rows: dict[str, Counter[str]] = {kind: Counter() for kind in kinds}
    for found in noticed:
        rows[found.mutant.kind][found.by] += 1
    alive = [found for found in noticed if found.by in ("", "said")]
    targets = {kind: KINDS[kind].target for kind in kinds}
    if arguments.json:
        print_json(
            {
                "kinds": {
                    kind: {"tried": sum(row.values()), "target": targets[kind], **_by(row)}
                    for kind, row in rows.items()
                },
                "survivors": [
                    {"kind": r.mutant.kind, "where": r.mutant.where, "said": r.by == "said"}
                    for r in alive
                    if targets[r.mutant.kind] is not None
                ],
                "missed_already": [f"{name}: {what}" for name, what in readers.missed],
            }
        )
        return progress.status
    say(f"Expectations that fail already, by which nobody notices: {len(readers.missed)}.")
    for kind, row in rows.items():
        tried = max(sum(row.values()), 1)
        share = (row["opinion"] + row["written"] + row["rules"]) / tried
        seen = share + row["said"] / tried
        goal = f", wanted {targets[kind]:.0%}" if targets[kind] is not None else ""
        say(
            f"{kind}: of {sum(row.values())} noticed {share:.1%} ({row['opinion']} by the second"
            f" opinion, {row['written']} by what is written down, {row['rules']} by"
            f" rules{goal}); with what is said otherwise {seen:.1%}"
        )
    listed = [row for row in alive if targets[row.mutant.kind] is not None]
    for survivor in listed[:_SHOWN]:
        how = f"says another thing of {survivor.where}" if survivor.by else "changes nothing"
        say(f"  {survivor.mutant.kind}, {survivor.mutant.where}: {how}")
    if len(listed) > _SHOWN:
        say(f"  and {len(listed) - _SHOWN} more; --json lists all")
    return progress.status


def _by(row: Counter[str]) -> dict[str, int]:
    return {name or "nothing": row[name] for name in ("opinion", "written", "rules", "said", "")}


def compare_options(sub: argparse.ArgumentParser) -> None:
    options.instrument(sub, "jobs")
    sub.add_argument("old", help="folder of the knowledge as it was")
    sub.add_argument("new", help="folder of the knowledge as it is")
    sub.add_argument("--store", metavar="URL", help="job store with the stored jobs")
    sub.add_argument("--stored", type=int, default=200, help="so many of the latest jobs")
    sub.add_argument("--most", type=int, default=40, help="changes that are printed")


def compare(arguments: argparse.Namespace, context: Context) -> int:
    """Which pictures, cases and stored jobs are called, asked or warned of otherwise."""
    from diagnose.analysis.comparison import Change, calls, said_of
    from diagnose.analysis.comparison import compare as differences
    from diagnose.analysis.written import Caller, Written
    from diagnose.knowledge.loader import load
    from diagnose.reasoning.reasoner import Reasoner

    for folder in (arguments.old, arguments.new):
        if not Path(folder).is_dir():
            raise UsageError(
                f"there is no folder '{folder}'.", next_step="Name two folders of knowledge."
            )
    old, new = (
        Reasoner(load(Path(folder), context.pack)) for folder in (arguments.old, arguments.new)
    )
    progress = Progress()

    def written(row: Written) -> list[Change]:
        return differences(row.name, calls(old, row.job), calls(new, row.job))

    def stored(row: tuple[str, list[Event]]) -> list[Change]:
        return differences(f"job {row[0]}", said_of(old, row[1]), said_of(new, row[1]))

    jobs = chosen_jobs(arguments, context, Caller(new.knowledge))
    changes = progress.each(written, jobs, "written down")
    kept = _stored(arguments, context)
    changes += progress.each(stored, kept, "stored jobs")
    rows = [change for found in changes for change in found]
    counts = Counter(change.what for change in rows)
    if arguments.json:
        print_json(
            {
                "old": old.knowledge.fingerprint,
                "new": new.knowledge.fingerprint,
                "compared": len(changes),
                "changes": [asdict(change) for change in rows],
            }
        )
        return progress.status
    summary = ", ".join(f"{count} {what}" for what, count in counts.items()) or "nothing"
    say(f"{len(changes)} jobs compared; said otherwise: {summary}")
    for change in rows[: arguments.most]:
        say(f"  {change.job}, {change.what}: {change.old or '-'} -> {change.new or '-'}")
    if len(rows) > arguments.most:
        say(f"  and {len(rows) - arguments.most} more; --most N or --json shows them")
    return progress.status


def _stored(arguments: argparse.Namespace, context: Context) -> list[Any]:
    """Name and events of the shop's own jobs, the latest first."""
    from diagnose.cli.jobs import store
    from diagnose.job.state import fold

    if not arguments.store and not context.job_file.exists():
        return []
    with store(arguments, context) as jobs:
        found = jobs.find(limit=arguments.stored)
        kept = [(row.job, jobs.load(row.job)) for row in found]
    return [(name, events) for name, events in kept if fold(events).pack == context.pack]
