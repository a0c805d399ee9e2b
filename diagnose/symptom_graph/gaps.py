"""What the safety proof finds unguarded, as problems at the card that does the deed."""

from __future__ import annotations

from diagnose.errors import Problem
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.symptom_graph.proof import Proof, Unguarded

__all__ = ["gap_problems"]


def gap_problems(proof: Proof, knowledge: Knowledge, lines: Lines) -> list[Problem]:
    """Each counter-example of the proof, with the shortest route that is left."""
    return [_gap(gap, knowledge, lines) for gap in proof.unguarded]


def _gap(gap: Unguarded, knowledge: Knowledge, lines: Lines) -> Problem:
    kind, ident, path = "hazards", "", ()  # type: tuple[str, str, tuple[str | int, ...]]
    if gap.deed in knowledge.checks:
        kind, ident, path = "checks", gap.deed, ("does",)
    elif gap.deed.startswith("step:"):
        _, ident, number = gap.deed.split(":")
        kind, path = knowledge.sheet_kind(ident), ("steps", int(number))
    what = (
        f"unguarded: it is reached without {gap.what}, by {' > '.join(gap.route) or 'any route'}."
    )
    return lines.problem(kind, ident, path, what, "Name the act in 'does' and in hazards.yaml.")
