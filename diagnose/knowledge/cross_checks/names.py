"""Ids, sources and what stands in the place of a retired card."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import near
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import NOT_SURE, PlacedRates, Sourced, SourcedRate

__all__ = ["counts_hold", "ids_once", "retired_are_replaced", "sources_exist"]


def ids_once(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """An id names one card, of whatever kind."""
    seen: dict[str, str] = {}
    kinds = ("causes", "findings", "symptoms", "checks", "blocks", "stages", "small_jobs")
    for kind in kinds:
        for ident in getattr(knowledge, kind):
            if ident in seen:
                yield lines.problem(
                    kind, ident, ("id",), f"'{ident}' is an id in {seen[ident]} too.", "Rename it."
                )
            seen[ident] = kind


def retired_are_replaced(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A retired id is no card's, and a card stands in its place that has the states named there."""
    for ident, gone in knowledge.retired.items():
        later = gone.replaced_by
        cards = [getattr(knowledge, kind) for kind in ("causes", "findings", "symptoms", "checks")]
        if any(ident in kind for kind in cards):
            what, hint = (
                f"'{ident}' is retired and a card at once.",
                "Remove its card, or this row.",
            )
            yield lines.problem("retired", ident, ("id",), what, hint)
        if not any(later in kind for kind in cards):
            hint = near(later, [known for kind in cards for known in kind])
            what = f"replaced_by: there is no card '{later}'."
            yield lines.problem("retired", ident, ("replaced_by",), what, hint)
            continue
        witness = knowledge.symptoms.get(later) or knowledge.checks.get(later)
        finding = knowledge.findings.get(later)
        known = {NOT_SURE, *(finding.states if finding else ())}
        known |= {answer.state for answer in witness.answers} if witness else set()
        for state, means in gone.states.items():
            if means not in known:
                what = f"states: '{later}' has no state '{means}'."
                yield lines.problem("retired", ident, ("states", state), what, near(means, known))


def counts_hold(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A source of kind ``counted`` says n of m."""
    for ident, source in knowledge.sources.items():
        n, m = source.n, source.m
        if source.kind == "counted" and (n is None or m is None or not 0 <= n <= m or m == 0):
            what = "n, m: counted are n of m closed jobs."
            yield lines.problem("sources", ident, ("n",), what, "Give both; n is the smaller.")


def sources_exist(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Every card's source, and every source of a single number, is in sources.yaml."""
    kinds = ("findings", "causes", "symptoms", "checks", "blocks", "stages", "small_jobs")
    for kind in (*kinds, "cautions"):
        for ident, card in getattr(knowledge, kind).items():
            names = {card.source}
            rate = getattr(card, "per_1000", None)
            rates = [rate.counter, rate.bench] if isinstance(rate, PlacedRates) else [rate]
            names |= {part.source for part in rates if isinstance(part, SourcedRate)}
            for value in getattr(card, "links", {}).values():
                parts = value.values() if isinstance(value, dict) else [value]
                names |= {part.source for part in parts if isinstance(part, Sourced)}
            for name in sorted(names - knowledge.sources.keys()):
                yield lines.problem(
                    kind, ident, ("source",), f"no source '{name}'.", near(name, knowledge.sources)
                )
