"""``diagnose jobs learn``: a proposal from closed jobs; a person applies it, or takes it back."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json, store
from diagnose.cli.learned import apply_rates, step_back, versions
from diagnose.errors import UsageError

if TYPE_CHECKING:
    from diagnose.learning.alarms import Alarm
    from diagnose.learning.outcome import Outcome
    from diagnose.learning.priors import Proposal
    from diagnose.records.store import JobStore

__all__ = ["learn"]

_ALARMS = {
    "never_expected": "found {n} times and never among the likely causes",
    "too_many": "found {n} times, expected {e:.1f}",
    "too_few": "found {n} times, expected {e:.1f}",
}


def learn(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    if arguments.apply and arguments.back:
        raise UsageError("choose one of --apply and --back.")
    if arguments.back:
        number = step_back(context.home)
        said = f"version {number} is in force" if number else "the cards' own rates are in force"
        _say(arguments, {"in_force": number}, f"Taken back; {said}.")
        return 0
    with store(arguments, context) as jobs:
        proposal, alarms = _proposal(jobs, context)
    if arguments.json:
        body: dict[str, Any] = asdict(proposal) | {"alarms": [asdict(a) for a in alarms]}
        if arguments.apply:
            body["version"] = _apply(arguments, context, proposal)
        print_json(body)
        return 0
    print("\n".join(_lines(proposal, alarms, columns())))
    if arguments.apply:
        number = _apply(arguments, context, proposal)
        print(f"Version {number} is in force. Back: diagnose jobs learn --back")
    else:
        count = len(versions(context.home))
        own = f"version {count}" if count else "the cards' own rates"
        print(f"In force: {own}. Put this in force: diagnose jobs learn --apply")
    return 0


def _say(arguments: argparse.Namespace, value: Any, text: str) -> None:
    if arguments.json:
        print_json(value)
    else:
        print(text)


def _proposal(jobs: JobStore, context: Context) -> tuple[Proposal, list[Alarm]]:
    from diagnose.learning.alarms import LATEST, alarms
    from diagnose.learning.priors import propose
    from diagnose.learning.tally import Tally

    tally = Tally(context.knowledge)
    latest: list[tuple[str, Outcome]] = []
    for name, outcome in jobs.outcomes():
        tally.add(outcome)
        if len(latest) < LATEST:
            latest.append((name, outcome))
    return propose(tally), alarms(latest)


def _apply(arguments: argparse.Namespace, context: Context, proposal: Proposal) -> int:
    return apply_rates(
        context.home,
        {
            "time": context.clock(),
            "person": arguments.person,
            "knowledge": context.knowledge.fingerprint,
            "jobs": proposal.jobs,
            "looked": proposal.looked,
            "rates": dict(proposal.rates),
        },
    )


def _lines(proposal: Proposal, alarms: list[Alarm], width: int) -> list[str]:
    from diagnose.reports.wrapping import wrapped

    out = wrapped(
        f"{proposal.jobs} closed jobs: {proposal.looked} say what was found ({proposal.nothing} "
        f"of them nothing), {proposal.partly} count in parts, {proposal.left_out} say nothing. "
        f"The cards' rates are worth {proposal.worth:.0f} jobs.",
        width,
    )
    for line in proposal.lines:
        out += wrapped(
            f"{line.name}: {line.found} of {line.looked} jobs ({line.low:.1%} to {line.high:.1%});"
            f" in 1000 jobs {line.before:.1f}, proposed {line.after:.1f}",
            width,
            "- ",
        )
    for alarm in alarms:
        said = _ALARMS[alarm.kind].format(n=alarm.found, e=alarm.expected)
        where = f" (jobs {', '.join(alarm.jobs)})" if alarm.jobs else ""
        out += wrapped(f"{alarm.cause.replace('_', ' ')} was {said}{where}", width, "! ")
    return out
