"""``diagnose knowledge sensitivity|explain``: what the numbers of the cards do to a call."""

from __future__ import annotations

import argparse
import random
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json
from diagnose.cli.progress import Progress
from diagnose.errors import InputError
from diagnose.nearest import nearest

if TYPE_CHECKING:
    from diagnose.analysis.explanation import Explanation
    from diagnose.analysis.stability import Place
    from diagnose.analysis.written import Caller, Written
    from diagnose.reasoning.reasoner import View


#: rows of each list that are printed; ``--json`` has all
_SHOWN = 12


def say(*texts: str) -> None:
    """Print texts, each fitted to the screen; one that begins with blanks stays indented."""
    from diagnose.reports.wrapping import wrapped

    for text in texts:
        indent = "  " if text.startswith("  ") else ""
        print("\n".join(wrapped(text.strip(), max(columns(), 24), indent, indent + "  ")))


def chosen_jobs(arguments: argparse.Namespace, context: Context, caller: Caller) -> list[Written]:
    """What is written down beside the cards and in the cases, or ``--sample`` of it."""
    from diagnose.analysis.written import written_jobs
    from diagnose.casebook.cases import load_cases
    from diagnose.knowledge.root import cases_root

    cases = load_cases(cases_root(context.cases_option), caller.knowledge)
    return sampled(written_jobs(caller.knowledge, cases), arguments)


def sampled(rows: Sequence[Any], arguments: argparse.Namespace) -> list[Any]:
    """``--sample`` of the rows drawn by ``--seed``, in their order; all without it."""
    if arguments.sample is None or arguments.sample >= len(rows):
        return list(rows)
    if arguments.sample < 1:
        raise InputError("nothing is left to look at.", where="--sample", next_step="1 or more.")
    places = random.Random(arguments.seed).sample(range(len(rows)), arguments.sample)
    return [rows[place] for place in sorted(places)]


def sensitivity_options(sub: argparse.ArgumentParser) -> None:
    options.instrument(sub, "jobs")
    sub.set_defaults(job_is_file=True)
    sub.add_argument("job", nargs="?", help="one job; without it all pictures and cases")
    sub.add_argument("--cause", metavar="ID", help="of one job: which; the first without it")


def sensitivity(arguments: argparse.Namespace, context: Context) -> int:
    """Of one job: exact functions of every number; without one: what a step of each tips."""
    from diagnose.analysis.stability import Stability, moves
    from diagnose.analysis.written import Caller, view_of

    caller = Caller(context.knowledge)
    if arguments.job:
        return _of_one(arguments, caller, view_of(caller, context.job_data))
    progress, sums = Progress(), Stability()

    def look(written: Written) -> None:
        sums.add(written.name, moves(caller, view_of(caller, written.job)))

    progress.each(look, chosen_jobs(arguments, context, caller), "jobs")
    least = [row for row in sums.least_kept() if row[2] < 0.95]
    worth = sums.worth()
    currency = caller.money.currency
    if arguments.json:
        print_json(
            {
                "jobs": sums.jobs,
                "steps": sums.steps,
                "kept": sums.kept_of_bearing,
                "jobs_no_step_tips": sums.steadfast,
                "numbers_kept_by_less_than_95_of_100": [
                    {"number": _named(p), "moved_to": value, "kept": kept}
                    for p, value, kept in least
                ],
                "worth": [{"number": _named(p), "loss": loss} for p, loss in worth],
                "tipped": {
                    name: [f"{_named(_of(row.number))} to {row.value:.3g}" for row in rows]
                    for name, rows in sums.tipped.items()
                },
            }
        )
        return progress.status
    say(
        f"{sums.jobs} jobs, {sums.steps} steps of numbers that bear on them: the plan is kept in"
        f" {sums.kept_of_bearing:.2%} of them.",
        f"Numbers of which a step changes the plan of more than 5 in 100 jobs: {len(least)}.",
        *(f"  {_named(p)} to {value:.3g}: {kept:.1%} kept" for p, value, kept in least[:_SHOWN]),
        f"Jobs that no single step tips: {sums.steadfast:.1%}. Tipped most easily:",
        *(
            f"  {name}: by {len(rows)}, such as {_named(_of(rows[0].number))} to"
            f" {rows[0].value:.3g}"
            for name, rows in sorted(sums.tipped.items(), key=lambda row: -len(row[1]))[:_SHOWN]
        ),
        f"Worth an expert's hour (mean loss a job if it is a step off, {currency}):",
        *(f"  {_named(p)}: {loss:.3f}" for p, loss in worth[:_SHOWN]),
    )
    return progress.status


def _of(number: Any) -> Place:
    return number.kind, number.cause, number.finding, number.state


def _named(place: Place) -> str:
    kind, cause, finding, state = place
    if kind == "odds":
        return f"rate of {cause}"
    return f"{finding} (state {state} or more) {'by ' + cause if cause else 'by itself'}"


def _of_one(arguments: argparse.Namespace, caller: Caller, view: View) -> int:
    from diagnose.analysis.sensitivity import neighbours, sensitivity

    network = view.belief.network
    cause = _cause(arguments, view)
    place = network.cause_index[cause]
    scale = list(caller.knowledge.pack.scale.values())
    rows = []
    for way in sensitivity(network, view.belief.evidence):
        number = way.number
        near = [0.5 * number.value, 2.0 * number.value]
        if number.kind != "odds":
            near = [min(max(v, number.low), number.high) for v in neighbours(scale, number.value)]
        moved = [(value, float(way.at(value)[place])) for value in near]
        now = float(view.belief.chances_if(True)[place])
        rows.append((way, moved, max(abs(p - now) for _, p in moved)))
    rows.sort(key=lambda row: -row[2])
    chance = float(view.belief.chances_if(True)[place])
    if arguments.json:
        print_json(
            {
                "cause": cause,
                "probability": chance,
                "numbers": [
                    {
                        "number": _named(_of(way.number)),
                        "value": way.number.value,
                        "probability": {
                            "numerator": [float(way.joint0[place]), float(way.joint1[place])],
                            "denominator": [way.total0, way.total1],
                        },
                        "one_step": [list(pair) for pair in moved],
                    }
                    for way, moved, _ in rows
                ],
            }
        )
        return 0
    say(
        f"{cause}: {chance:.1%} by the story. Exact functions of {len(rows)} numbers; a step"
        " of one number at a time:",
        *(
            f"  {_named(_of(way.number))}, now {way.number.value:.3g}: "
            + ", ".join(f"at {value:.3g} {chance:.1%}" for value, chance in moved)
            for way, moved, _ in rows[:_SHOWN]
        ),
    )
    return 0


def _cause(arguments: argparse.Namespace, view: View) -> str:
    if not arguments.cause:
        return next(iter(view.belief.causes))
    if arguments.cause not in view.belief.causes:
        raise InputError(
            f"there is no cause '{arguments.cause}'.",
            where="--cause",
            next_step=nearest(
                arguments.cause, view.belief.causes, otherwise="List all: diagnose knowledge show"
            ),
        )
    return str(arguments.cause)


def explain_options(sub: argparse.ArgumentParser) -> None:
    options.instrument(sub)
    sub.set_defaults(job_is_file=True)
    sub.add_argument("job", help="YAML or JSON file, - for standard input")
    sub.add_argument("--cause", metavar="ID", help="which cause it is not; the second without it")


def explain(arguments: argparse.Namespace, context: Context) -> int:
    """Why, why not, why this question, what would change the call; of one job."""
    from diagnose.analysis.explanation import weights_of_evidence
    from diagnose.job.job_file import events_of
    from diagnose.job.state import fold
    from diagnose.reasoning.evidence_words import evidence_words
    from diagnose.reasoning.judgement import judge
    from diagnose.reasoning.reasoner import Reasoner

    reasoner = Reasoner(context.knowledge)
    view = reasoner.view(fold(events_of(context.job_data, context.knowledge)[0]))
    call = judge(reasoner, view)
    network = view.belief.network
    first = next(iter(view.belief.causes))
    other = _cause(arguments, view)
    if other == first:
        other = list(view.belief.causes)[1]
    told = [weights_of_evidence(network, view.belief.evidence, cause) for cause in (first, other)]
    if arguments.json:
        print_json(
            {
                "trusted": view.belief.trusted,
                "why": _weights(told[0], view),
                "why_not": _weights(told[1], view),
                "next_step": {"id": call.next_step.id, "why": call.next_step.why},
                "would_change": call.would_change,
            }
        )
        return 0
    names = evidence_words(view.belief)
    for head, row in zip(("Why", "Why not"), told, strict=True):
        carried = (
            "One answer carries it."
            if row.carried_by_one
            else "No single answer carries it; it is all of them together."
        )
        say(
            f"{head} {_name(reasoner, row.cause)} ({view.belief.causes[row.cause]:.0%}):",
            f"  {row.prior:+.2f} before anything was said",
            *(f"  {w.weight:+.2f} {names[w.finding]}" for w in row.weights),
            f"  {row.log_odds:+.2f} in all (log-odds). {carried if row.weights else ''}",
        )
    if view.belief.trusted < 1.0:
        say(
            f"The story is believed to be of this shock with {view.belief.trusted:.0%}; the weights"
            " are those of the story believed."
        )
    step = call.next_step
    say(f"Next: {step.question or step.kind.replace('_', ' ')} {step.why}")
    if call.would_change:
        say("The call would change with:", *(f"  {text}" for text in call.would_change))
    else:
        say("No single answer that is at all likely would change the call.")
    return 0


def _weights(told: Explanation, view: View) -> dict[str, Any]:
    place = view.belief.network.cause_index[told.cause]
    return {
        "cause": told.cause,
        "by_the_story": float(view.belief.chances_if(True)[place]),
        "without_it": float(view.belief.chances_if(False)[place]),
        "prior": told.prior,
        "weights": [{"finding": w.finding, "weight": w.weight} for w in told.weights],
        "log_odds": told.log_odds,
        "carried_by_one": told.carried_by_one,
    }


def _name(reasoner: Any, cause: str) -> str:
    card = reasoner.knowledge.causes.get(cause)
    return str(card.name) if card else "none of these"
