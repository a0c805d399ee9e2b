"""Every number of the knowledge with its source, and numbers said in words.

Rules
-----
- A number is listed once, under the card it stands on; what is computed from it is not listed.
- A number without a source of its own has that of its card.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import (
    EachDesk,
    PlacedRates,
    Reliability,
    Source,
    Sourced,
    SourcedRate,
)

__all__ = ["Figure", "figures", "in_words", "of_card", "said", "source_line"]

_KINDS = {
    "published": "published",
    "common_practice": "common practice",
    "from_memory": "from memory",
    "counted": "counted",
}


@dataclass(frozen=True)
class Figure:
    """One number.

    Parameters
    ----------
    card : id of the card it stands on.
    field : where on the card, outermost name first.
    number : its value.
    word : the word of the verbal scale that was written, or nothing.
    source : id of its source.
    note : the author's note to this number, or nothing.
    chance : whether it is a probability.
    """

    card: str
    field: tuple[str, ...]
    number: float
    word: str
    source: str
    note: str
    chance: bool


def in_words(chance: float) -> str:
    """A chance as people say it.

    >>> [in_words(x) for x in (0.01, 0.05, 0.2, 0.5, 0.75, 0.9, 0.97)][:3]
    ['one in a hundred', 'one in twenty', 'one in five']
    >>> in_words(0.97), in_words(0.88), in_words(0.003)
    ('all but three in a hundred', 'about nine in ten', 'three in a thousand')
    """
    small = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    if chance > 0.945:
        return f"all but {small[max(1, round(100 * (1 - chance)))]} in a hundred"
    if chance < 0.0095:
        return f"{small[max(1, round(1000 * chance))]} in a thousand"
    if chance < 0.045:
        return f"{small[round(100 * chance)]} in a hundred"
    known = {
        0.05: "one in twenty",
        0.1: "one in ten",
        0.2: "one in five",
        0.25: "one in four",
        0.3: "three in ten",
        0.4: "four in ten",
        0.5: "one in two",
        0.6: "six in ten",
        0.7: "seven in ten",
        0.75: "three in four",
        0.8: "eight in ten",
        0.9: "nine in ten",
    }
    near = min(known, key=lambda value: abs(value - chance))
    return known[near] if abs(near - chance) < 0.005 else f"about {known[near]}"


def said(figure: Figure) -> str:
    """The number with the word that was written and, for a chance, how people say it."""
    if not figure.chance:
        return f"{figure.number:g}"
    written = f"{figure.word.replace('_', ' ')}, " if figure.word else ""
    return f"{written}{in_words(figure.number)} ({figure.number:g})"


def source_line(source: Source) -> str:
    """Kind and text of a source, with its counts if it was counted."""
    kind = _KINDS[source.kind]
    if source.kind == "counted":
        kind = f"counted, {source.n} of {source.m}"
    return f"{kind}: {source.text} ({source.date})"


def figures(knowledge: Knowledge) -> Iterator[Figure]:
    """All numbers, card by card; those of the pack come last, under the pack's id."""
    for kind in (
        knowledge.findings,
        knowledge.causes,
        knowledge.symptoms,
        knowledge.checks,
        knowledge.sheets,
    ):
        for ident in kind:
            yield from of_card(knowledge, ident)
    yield from of_card(knowledge, knowledge.pack.id)


def of_card(knowledge: Knowledge, ident: str) -> Iterator[Figure]:
    """The numbers of one card, in reading order; none for a card that holds no numbers."""
    if ident == knowledge.pack.id:
        yield from _pack(knowledge)
        return
    card = knowledge.card(ident)
    source = getattr(card, "source", "")
    chances: dict[tuple[str, ...], Any] = {}
    plain: dict[tuple[str, ...], Any] = {}
    if ident in knowledge.findings:
        chances = _flat(("leak",), knowledge.findings[ident].leak)
    elif ident in knowledge.causes:
        cause = knowledge.causes[ident]
        plain = _flat((), {"per_1000": cause.per_1000}) | _flat(("context",), cause.context)
        chances = _flat(("links",), cause.links) | _flat(("cures",), cause.cures)
        remedy = cause.remedy
        plain |= {("remedy", "minutes"): remedy.minutes, ("remedy", "parts"): remedy.parts}
    elif ident in knowledge.symptoms:
        symptom = knowledge.symptoms[ident]
        told = {f: getattr(symptom, f) for f in ("known", "brought_up", "named")}
        chances = _reliability("customer", symptom.customer)
        chances |= {(field,): chance for field, chance in told.items() if chance is not None}
        plain = {("minutes",): symptom.minutes}
    elif ident in knowledge.checks:
        check = knowledge.checks[ident]
        chances = _reliability("reliability", check.reliability)
        plain = {("minutes",): check.minutes}
        if check.act:
            plain[("act_minutes",)] = check.act_minutes
        if check.reading:
            for state, spread in check.reading.states.items():
                plain[("reading", state, "mean")] = spread.mean
                plain[("reading", state, "sd")] = spread.sd
            for said in check.reading.also:
                for state, spread in said.states.items():
                    plain[("reading", said.finding, state, "mean")] = spread.mean
                    plain[("reading", said.finding, state, "sd")] = spread.sd
    elif ident in knowledge.sheets:
        sheet = knowledge.sheets[ident]
        for name in ("minutes", "opening_minutes", "parts"):
            plain[(name,)] = getattr(sheet, name)
    yield from _listed(knowledge, ident, source, chances, chance=True)
    yield from _listed(knowledge, ident, source, plain, chance=False)


def _pack(knowledge: Knowledge) -> Iterator[Figure]:
    pack = knowledge.pack
    numbers: dict[tuple[str, ...], Any] = {
        (name,): value for name, value in pack if isinstance(value, float)
    }
    numbers |= _flat((), {"no_fault_per_1000": pack.no_fault_per_1000})
    plain = {field: value for field, value in numbers.items() if "_per_" in field[0]}
    chances = _flat(("features",), pack.features)
    chances |= {field: value for field, value in numbers.items() if field not in plain}
    chances |= _flat(("hearing",), dict(pack.hearing))
    yield from _listed(knowledge, pack.id, pack.source, chances, chance=True)
    yield from _listed(knowledge, pack.id, pack.source, plain, chance=False)
    for ident, context in pack.contexts.items():
        bands: dict[tuple[str, ...], Any] = {
            ("contexts", ident, band.id, "share"): band.share for band in context.bands
        }
        yield from _listed(knowledge, pack.id, context.source, bands, chance=True)
    money: dict[tuple[str, ...], Any] = {
        field: value
        for field, value in _flat(("economics",), dict(pack.economics)).items()
        if isinstance(value, float)
    }
    yield from _listed(knowledge, pack.id, pack.economics.source, money, chance=False)
    if pack.comes_and_goes is not None:
        passing = _flat(("comes_and_goes", "brought_out"), dict(pack.comes_and_goes.brought_out))
        passing |= {("comes_and_goes", "unseen"): pack.comes_and_goes.unseen}
        yield from _listed(knowledge, pack.id, pack.source, passing, chance=False)
    reporters = pack.reporters
    errors = _reliability("customer", reporters.customer)
    errors |= _reliability("passed_on", reporters.passed_on)
    errors |= {(name,): value for name, value in reporters if isinstance(value, float)}
    errors |= _flat(("known",), reporters.known) | _flat(("named",), reporters.named)
    powers = _flat(("reporters", "shared"), reporters.shared)
    told = {("reporters", *field): value for field, value in errors.items()}
    yield from _listed(knowledge, pack.id, reporters.source, told, chance=True)
    yield from _listed(knowledge, pack.id, reporters.source, powers, chance=False)


def _flat(head: tuple[str, ...], values: dict[str, Any]) -> dict[tuple[str, ...], Any]:
    """Nested mappings as one, keyed by the whole way."""
    flat: dict[tuple[str, ...], Any] = {}
    for key, value in values.items():
        if isinstance(value, PlacedRates | EachDesk):
            flat |= _flat((*head, key), dict(value))
        elif isinstance(value, dict):
            flat |= _flat((*head, key), value)
        else:
            flat[(*head, key)] = value
    return flat


def _reliability(head: str, value: Reliability) -> dict[tuple[str, ...], Any]:
    return {(head, name): getattr(value, name) for name in ("hit", "false_alarm", "grade")}


def _listed(
    knowledge: Knowledge,
    card: str,
    source: str,
    values: dict[tuple[str, ...], Any],
    *,
    chance: bool,
) -> Iterator[Figure]:
    for field, value in values.items():
        own = value if isinstance(value, Sourced | SourcedRate) else None
        written = own.value if own else value
        yield Figure(
            card,
            field,
            knowledge.chance(written),
            written if isinstance(written, str) else "",
            own.source if own else source,
            own.note if own else "",
            chance,
        )
