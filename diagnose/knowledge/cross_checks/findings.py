"""Findings against features and their own leaks."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, link_problems, near
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["findings_fit"]


def findings_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Leaks name states and fall with severity."""
    for ident, card in knowledge.findings.items():

        def at(path: Where, what: str, hint: str, ident: str = ident) -> Problem:
            return lines.problem("findings", ident, path, what, hint)

        yield from link_problems(knowledge, dict(card.leak), ident, ("leak",), at)
        for feature in card.applies_when:
            if feature not in knowledge.pack.features:
                yield at(
                    ("applies_when", feature),
                    f"no feature '{feature}'.",
                    near(feature, knowledge.pack.features),
                )
