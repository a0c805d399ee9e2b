"""``diagnose knowledge simulate``: the strategy against fixed checklists and the lower bound."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from diagnose.cli import options
from diagnose.cli.card_numbers import sampled, say
from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json
from diagnose.cli.progress import Progress
from diagnose.errors import InputError

if TYPE_CHECKING:
    from diagnose.analysis.checklist import Comparison
    from diagnose.knowledge.models import Symptom
    from diagnose.pictures.chart import Chart


def simulate_options(sub: argparse.ArgumentParser) -> None:
    options.instrument(sub, "complaints")
    sub.add_argument("--svg", metavar="FILE", help="write the picture")
    sub.add_argument("--plain", action="store_true", help="plain characters only")


def simulate(arguments: argparse.Namespace, context: Context) -> int:
    """Expected cost of a job at the bench, by complaint; every likely answer is followed."""
    from diagnose.analysis.checklist import compare_strategies
    from diagnose.job.state import JobState, Report
    from diagnose.pictures.svg import chart_svg
    from diagnose.pictures.text import chart_text
    from diagnose.reasoning.open_options import open_now
    from diagnose.reasoning.reasoner import Reasoner
    from diagnose.strategy.lookahead import Situation, advise

    reasoner = Reasoner(context.knowledge)

    def look(row: tuple[Symptom, str]) -> tuple[str, Comparison]:
        card, state = row
        report = Report(0, card.id, "customer", state)
        view = reasoner.view(JobState(at="bench", reports={(card.id, "customer"): report}))
        costs = reasoner.cost_model.costs(view.belief.hypotheses.present)
        situation = Situation(
            view.belief.hypotheses.weights, (costs,), tuple(open_now(view.belief))
        )
        return f"{card.id} {state}", compare_strategies(situation, lambda s: advise(s).option)

    said = [
        (card, state)
        for card in context.knowledge.symptoms.values()
        for state in context.knowledge.findings[card.observes].states[1:]
    ]
    if arguments.svg:
        _require_writable(arguments.svg)
    progress = Progress()
    rows = progress.each(look, sampled(said, arguments), "complaints")
    if not rows:
        return progress.status
    chart = _chart([row for _, row in rows], reasoner.money.currency)
    if arguments.svg:
        Path(arguments.svg).write_text(chart_svg(chart) + "\n", "utf-8")
    excess = np.array([[r.checklist, r.best_stopped, r.strategy] for _, r in rows])
    same, best, ours = (excess - np.array([[r.informed] for _, r in rows])).sum(axis=0)
    far = (excess - np.array([[r.known] for _, r in rows])).sum(axis=0)
    if arguments.json:
        print_json(
            {
                "complaints": [
                    {
                        "complaint": name,
                        "at_once": row.at_once,
                        "checklist": row.checklist,
                        "checklist_best_stopped": row.best_stopped,
                        "strategy": row.strategy,
                        "all_checks_free": row.informed,
                        "causes_known": row.known,
                        "items": row.items,
                        "checklist_curve": row.list_curve,
                        "strategy_curve": row.curve,
                    }
                    for name, row in rows
                ],
                "saved": 1.0 - ours / same,
                "saved_over_best_stopped": 1.0 - ours / best,
                "saved_above_causes_known": 1.0 - far[2] / far[0],
                "currency": reasoner.money.currency,
            }
        )
        return progress.status
    width = max(map(len, (name for name, _ in rows)))
    if columns() >= width + 46:
        heads = ("at once", "list", "strategy", "all free", "saved")
        print(f"{'complaint':<{width}} " + " ".join(f"{head:>8}" for head in heads))
        for name, row in rows:
            values = (row.at_once, row.checklist, row.strategy, row.informed)
            print(f"{name:<{width}} " + " ".join(f"{v:8.1f}" for v in values), f"{row.saved:8.1%}")
    else:
        for name, row in rows:
            say(f"{name}: list {row.checklist:.0f}, strategy {row.strategy:.0f}, {row.saved:.1%}")
    say(
        "Avoidable is what a job costs above the same job with every check done for nothing."
        " Saved against the best fixed checklist of each complaint, same stop rule:"
        f" {1 - ours / same:.1%}; against a list that stops as is best for it:"
        f" {1 - ours / best:.1%}. Counted above causes known for nothing, which no check can"
        f" bring about: {1 - far[2] / far[0]:.1%}."
    )
    print(chart_text(chart, max(30, min(columns(), 72)), plain=arguments.plain))
    return progress.status


def _chart(rows: list[Comparison], currency: str) -> Chart:
    from diagnose.pictures.chart import Chart

    lists = np.mean([row.list_curve for row in rows], axis=0)
    ours = np.mean([row.curve for row in rows], axis=0)
    free = float(np.mean([row.informed for row in rows]))
    most = 1 + int(np.argmax(np.abs(ours - ours[-1]) < 0.002 * ours[-1]))
    most = max(most, 4)

    def line(values: np.ndarray) -> tuple[tuple[float, float], ...]:
        return tuple((float(n), float(v)) for n, v in enumerate(values[: most + 1]))

    return Chart(
        "Cost of a job against checks allowed",
        f"Mean over {len(rows)} complaints at the bench. Deciding at once costs {ours[0]:.0f}"
        f" {currency}; the best fixed checklist comes down to {lists[-1]:.0f}, the strategy to"
        f" {ours[-1]:.0f}; with every check done for nothing it would cost {free:.0f}.",
        "checks allowed",
        f"expected cost [{currency}]",
        (
            ("fixed checklist", line(lists)),
            ("strategy", line(ours)),
            ("all checks free", ((0.0, free), (float(most), free))),
        ),
    )


def _require_writable(name: str) -> None:
    """Refuse a file that cannot be written before the long work, not after it.

    Raises
    ------
    InputError : what stands in the way.
    """
    try:
        with Path(name).open("a", encoding="utf-8"):
            pass
    except OSError as error:
        raise InputError(
            f"cannot be written: {error.strerror}.",
            where=name,
            next_step="Check folder and rights.",
        ) from error
