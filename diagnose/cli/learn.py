"""``diagnose jobs learn``: a proposal from closed jobs; a person applies it, or takes it back."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json, store
from diagnose.errors import RefusedError, UsageError
from diagnose.reports.wrapping import wrapped
from diagnose.shop.learned_versions import apply_version, in_force, step_back

if TYPE_CHECKING:
    from diagnose.knowledge.loader import Knowledge
    from diagnose.learning.alarms import Alarm
    from diagnose.learning.outcome import Outcome
    from diagnose.learning.priors import Proposal
    from diagnose.learning.strengths import LinkLine
    from diagnose.records.store import JobStore


#: change of a strength from which it is told, and how many are
_TOLD, _MOST_LINKS = 0.05, 12

_ALARMS = {
    "never_expected": "found {n} times and never among the likely causes",
    "too_many": "found {n} times, expected {e:.1f}",
    "too_few": "found {n} times, expected {e:.1f}",
}


def learn_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, store=True, json=True)
    sub.add_argument("--apply", action="store_true", help="judge by it from now on")
    sub.add_argument("--back", action="store_true", help="return to the version before")


def learn(arguments: argparse.Namespace, context: Context) -> int:
    """Run the command."""
    if arguments.apply and arguments.back:
        raise UsageError("choose one of --apply and --back.")
    if arguments.back:
        number = step_back(
            context.home, context.knowledge.pack.id, time=context.clock(), person=arguments.person
        )
        said = f"version {number} is in force" if number else "the cards' own numbers are in force"
        _say(arguments, {"in_force": number}, f"Taken back; {said}.")
        return 0
    with store(arguments, context) as jobs:
        proposal, links, alarms = _proposal(jobs, context)
    if arguments.apply and not proposal.counted:
        raise RefusedError(
            "no closed job says what was found.",
            next_step="Close jobs with what was found: diagnose jobs close JOB",
        )
    if arguments.json:
        body: dict[str, Any] = asdict(proposal) | {
            "links": [asdict(line) for line in links],
            "alarms": [asdict(a) for a in alarms],
        }
        if arguments.apply:
            body["version"] = _apply(arguments, context, proposal, links)
        print_json(body)
        return 0
    width = columns()
    out = _lines(proposal, alarms, width) + _link_lines(links, context.knowledge, width)
    if arguments.apply:
        number = _apply(arguments, context, proposal, links)
        out += wrapped(f"Version {number} is in force. Back: diagnose jobs learn --back", width)
    else:
        found = in_force(context.home, context.knowledge.pack.id)
        own = f"version {found[0]}" if found else "the cards' own numbers"
        out += wrapped(f"In force: {own}.", width)
        if proposal.counted:
            out += wrapped("Put this in force: diagnose jobs learn --apply", width)
    print("\n".join(out))
    return 0


def _say(arguments: argparse.Namespace, value: Any, text: str) -> None:
    if arguments.json:
        print_json(value)
    else:
        print(text)


def _proposal(jobs: JobStore, context: Context) -> tuple[Proposal, list[LinkLine], list[Alarm]]:
    from diagnose.belief.compiled import compile_pack
    from diagnose.learning.alarms import LATEST, alarms
    from diagnose.learning.priors import propose
    from diagnose.learning.strengths import LinkTally
    from diagnose.learning.tally import Tally

    tally = Tally(context.knowledge)
    links = LinkTally(compile_pack(context.knowledge))
    latest: list[tuple[str, Outcome]] = []
    for name, outcome in jobs.outcomes():
        if outcome.pack != context.knowledge.pack.id:
            continue
        tally.add(outcome)
        links.add(outcome, tally.parts(outcome))
        if len(latest) < LATEST:
            latest.append((name, outcome))
    return propose(tally), links.propose(), alarms(latest)


def _apply(
    arguments: argparse.Namespace, context: Context, proposal: Proposal, links: list[LinkLine]
) -> int:
    strengths: dict[str, dict[str, tuple[float, ...]]] = {}
    for line in links:
        strengths.setdefault(line.cause, {})[line.finding] = line.after
    return apply_version(
        context.home,
        {
            "time": context.clock(),
            "person": arguments.person,
            "pack": context.knowledge.pack.id,
            "knowledge": context.knowledge.fingerprint,
            "jobs": proposal.jobs,
            "looked": proposal.looked,
            "rates": dict(proposal.rates),
            "strengths": strengths,
        },
    )


def _link_lines(links: list[LinkLine], knowledge: Knowledge, width: int) -> list[str]:
    """The links that change most; all of them stand in ``--json``."""
    told = [line for line in links if line.change >= _TOLD]
    if not links:
        return []
    out = wrapped(
        f"Links of causes to what they show, looked at: {len(links)}; changed by {_TOLD:.0%} or "
        f"more: {len(told)}.",
        width,
    )
    for line in told[:_MOST_LINKS]:
        cause, finding = knowledge.causes[line.cause], knowledge.findings[line.finding]
        seen = f"{line.shown} of {line.looked} jobs ({line.low:.0%} to {line.high:.0%})"
        if not line.looked:
            seen = "jobs in which nobody looked inside"
        out += wrapped(
            f"{cause.name}: {finding.name} in {seen}; the card says {line.before[0]:.0%}, "
            f"proposed {line.after[0]:.0%}",
            width,
            "- ",
        )
    if len(told) > _MOST_LINKS:
        out += wrapped(f"{len(told) - _MOST_LINKS} more: diagnose jobs learn --json", width)
    return out


def _lines(proposal: Proposal, alarms: list[Alarm], width: int) -> list[str]:
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
