"""Findings against features, their own leaks and what must be there for them to be seen."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from math import prod

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, chance_problem, link_problems, near
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Finding

__all__ = ["findings_fit", "seen_with_holds"]


def findings_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Leaks name states and fall, rates rise with severity; what findings name exists."""
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
        for other, state in card.seen_with.items():
            where: Where = ("seen_with", other)
            if other not in knowledge.findings:
                yield at(where, f"no finding '{other}'.", near(other, knowledge.findings))
            elif state not in (ill := knowledge.findings[other].states[1:]):
                yield at(where, f"'{other}' has no ill state '{state}'.", near(state, ill))


def seen_with_holds(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """No cause shows a finding more often than any of those that it is seen with."""
    for finding in knowledge.findings.values():
        others = [other for other in finding.seen_with if other in knowledge.findings]
        for ident, cause in knowledge.causes.items():
            if finding.id not in cause.links or not others:
                continue
            none = prod(1.0 - _seen(knowledge, ident, other) for other in others)
            alone = _any(knowledge, cause.links[finding.id])
            if alone > 1.0 - none:
                yield lines.problem(
                    "causes",
                    ident,
                    ("links", finding.id),
                    f"'{finding.id}' with {alone:g}, but it must be seen first with"
                    f" {' or '.join(others)}, and one of these shows with {1.0 - none:.3g}.",
                    "Lower it, or link what is seen first.",
                )


def _seen(knowledge: Knowledge, cause: str, finding: str) -> float:
    """Chance that a finding shows in any state with this cause alone, its leak included."""
    leak = _any(knowledge, dict(knowledge.findings[finding].leak))
    own = _any(knowledge, knowledge.causes[cause].links.get(finding, {}))
    return 1.0 - (1.0 - own) * (1.0 - leak)


def _any(knowledge: Knowledge, value: object) -> float:
    """Chance of any state but the healthy one; what is no chance is told at its own place."""
    values = value.values() if isinstance(value, dict) else [value]
    known = [knowledge.chance(v) for v in values if not chance_problem(knowledge, v)]
    return max(known, default=0.0)


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
