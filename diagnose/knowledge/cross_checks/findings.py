"""Findings against features and their own leaks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, link_problems, near
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Finding

__all__ = ["findings_fit"]


def findings_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Leaks name states and fall with severity; rates are those of the states and rise with it."""
    for ident, card in knowledge.findings.items():

        def at(path: Where, what: str, hint: str, ident: str = ident) -> Problem:
            return lines.problem("findings", ident, path, what, hint)

        yield from link_problems(knowledge, dict(card.leak), ident, ("leak",), at)
        yield from _rates_rise(card, at)
        for feature in card.applies_when:
            if feature not in knowledge.pack.features:
                yield at(
                    ("applies_when", feature),
                    f"no feature '{feature}'.",
                    near(feature, knowledge.pack.features),
                )


def _rates_rise(card: Finding, at: Callable[[Where, str, str], Problem]) -> Iterator[Problem]:
    if not card.rates:
        return
    if sorted(card.rates) != sorted(card.states):
        what = "rates: needs one for each state, no other."
        yield at(("rates",), what, f"States: {', '.join(card.states)}.")
        return
    for milder, state in pairwise(card.states):
        if card.rates[state].median <= card.rates[milder].median:
            what = f"rates.{state}: no faster than '{milder}'."
            yield at(("rates", state), what, "The later state is the quicker one: mend a median.")
