"""Orders that an expert is sure of against the numbers of the cards."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import chance_problem, near
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["orders_hold"]


def orders_hold(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """What an expert is sure of: one cause shows a finding more often than another."""
    for n, order in enumerate(knowledge.orders):
        if order.finding not in knowledge.findings:
            hint = near(order.finding, knowledge.findings)
            yield lines.problem("orders", str(n), (), f"no finding '{order.finding}'.", hint)
            continue
        chances = []
        for cause in (order.more, order.less):
            if cause not in knowledge.causes:
                yield lines.problem(
                    "orders",
                    str(n),
                    (),
                    f"no cause '{cause}'.",
                    near(cause, knowledge.causes),
                )
                break
            chances.append(_at_least(knowledge, cause, order.finding, order.state))
        else:
            if not chances[0] > chances[1]:
                yield lines.problem(
                    "orders",
                    str(n),
                    (),
                    f"{order.more} shows {order.finding} '{order.state}' with {chances[0]:g},"
                    f" {order.less} with {chances[1]:g}; the order says more.",
                    "Correct the cards or the order.",
                )


def _at_least(knowledge: Knowledge, cause: str, finding: str, state: str) -> float:
    value = knowledge.causes[cause].links.get(finding)
    if isinstance(value, dict):
        value = value.get(state)
    # What is no chance is a problem of the cause's own card.
    if value is None or chance_problem(knowledge, value):
        return 0.0
    return knowledge.chance(value)
