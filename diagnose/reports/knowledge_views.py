"""Cards as plain text for a terminal, and how far the numbers are covered by sources."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from diagnose.cells import cells
from diagnose.knowledge.loader import Knowledge
from diagnose.reports.figures import Figure, figures, of_card, said, source_line
from diagnose.reports.usage import KINDS, kinds_of, used_by
from diagnose.reports.wrapping import wrapped

__all__ = ["coverage", "show"]

#: holds only numbers, which are listed apart with their words and sources
_NUMBERS = {
    "finding": {"leak"},
    "cause": {"per_1000", "context", "links", "cures"},
    "symptom": {"customer", "minutes"},
    "check": {"reliability", "minutes", "act_minutes"},
    "stage": {"minutes", "opening_minutes", "parts"},
    "small_job": {"minutes", "opening_minutes", "parts"},
    "pack": {"features", "contexts", "economics", "unlisted_strength", "stop_at", "gently_at"}
    | {"do_not_open_at", "no_fault_per_1000", "second_fault_per_100", "unlisted_per_1000"},
}


def show(knowledge: Knowledge, ident: str, width: int = 80) -> str:
    """A card in words: its fields, its numbers with their sources, and where it is used.

    Parameters
    ----------
    ident : id of any card, or of the pack.
    width : columns; nothing is longer, but for a single word that is.

    Raises
    ------
    InputError : no card has this id; the nearest ids are named.
    """
    out: list[str] = []
    for kind in kinds_of(knowledge, ident):
        card = knowledge.pack if kind == "pack" else getattr(knowledge, KINDS[kind])[ident]
        name = getattr(card, "name", "")
        out += [*_wrapped(f"{kind} {ident}" + (f": {name}" if name else ""), width, ""), ""]
        skipped = {"id", "name", "source"} | _NUMBERS.get(kind, set())
        for field in type(card).model_fields:
            if field not in skipped and _written(card, field):
                out += _field(_plain(field), getattr(card, field), width, "")
        if kind in _NUMBERS:
            out += _numbers(knowledge, list(of_card(knowledge, ident)), width)
        elif hasattr(card, "source"):
            out += _field("source", source_line(knowledge.sources[card.source]), width, "")
        for way, users in used_by(knowledge, kind, ident).items():
            out += _field(way, ", ".join(users), width, "")
        out.append("")
    return "\n".join(out).rstrip() + "\n"


def coverage(knowledge: Knowledge) -> dict[str, Any]:
    """How many cards there are, and where their numbers come from.

    Returns
    -------
    ``cards``: kind -> count; ``sayings``: phrasings of symptoms; ``examples``: typical and
    near-miss pictures; ``numbers``: count in all; ``by_kind``: kind of source -> count and
    share; ``by_source``: source id -> count.
    """
    numbers = list(figures(knowledge))
    sources = Counter(figure.source for figure in numbers)
    kinds: Counter[str] = Counter()
    for ident, count in sources.items():
        kinds[knowledge.sources[ident].kind] += count
    return {
        "cards": {kind: len(getattr(knowledge, field)) for kind, field in KINDS.items()},
        "sayings": sum(
            len(texts) for card in knowledge.symptoms.values() for texts in card.phrases.values()
        ),
        "examples": {
            "typical": sum(len(card.typical) for card in knowledge.causes.values()),
            "near_miss": sum(len(card.near_miss) for card in knowledge.causes.values()),
        },
        "look_alikes": sum(len(card.mistaken_for) for card in knowledge.causes.values()),
        "second_opinions": sum(
            len(causes)
            for row in knowledge.second_opinion.findings.values()
            for causes in row.values()
        ),
        "numbers": len(numbers),
        "by_kind": {
            kind: {"count": count, "share": round(count / len(numbers), 4)}
            for kind, count in sorted(kinds.items())
        },
        "by_source": dict(sorted(sources.items())),
    }


def _written(card: BaseModel, field: str) -> bool:
    """Whether the author wrote it; what is left at its default says nothing new."""
    return bool(getattr(card, field) != type(card).model_fields[field].default)


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _wrapped(text: str, width: int, indent: str, hang: str = "") -> list[str]:
    # An id is copied and typed again, so that none is broken, however narrow the paper.
    longest = max(map(cells, text.split()), default=0)
    return wrapped(text, max(width, cells(indent + hang) + longest), indent, indent + hang)


def _field(name: str, value: Any, width: int, indent: str) -> list[str]:
    """A field as lines; what it holds stands below it, further in."""
    if isinstance(value, BaseModel):
        value = {_plain(key): item for key, item in value if _written(value, key)}
    if isinstance(value, dict):
        below = (_field(str(key), item, width, indent + "  ") for key, item in value.items())
        return [f"{indent}{name}:", *(line for lines in below for line in lines)]
    if isinstance(value, list):
        rows = (_item(item, width, indent) for item in value)
        return [f"{indent}{name}:", *(line for lines in rows for line in lines)]
    return _wrapped(f"{name}: {_word(value)}", width, indent, "  ")


def _item(value: Any, width: int, indent: str) -> Iterator[str]:
    if not isinstance(value, BaseModel):
        yield from _wrapped(f"- {_word(value)}", width, indent + "  ", "  ")
        return
    lines = [
        line
        for key, item in value
        if _written(value, key)
        for line in _field(_plain(key), item, width, indent + "    ")
    ]
    yield indent + "  - " + lines[0].strip()
    yield from lines[1:]


def _word(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _numbers(knowledge: Knowledge, numbers: list[Figure], width: int) -> list[str]:
    """Numbers by field; a source is named once for the card and again only where it differs."""
    out = ["numbers:"]
    main = Counter(figure.source for figure in numbers).most_common(1)[0][0]
    for figure in numbers:
        origin = "" if figure.source == main else f" [{figure.source}]"
        note = f", {figure.note}" if figure.note else ""
        where = ", ".join(_plain(part) for part in figure.field)
        out += _wrapped(f"{where}: {said(figure)}{origin}{note}", width, "  ", "  ")
    for ident in dict.fromkeys([main, *(figure.source for figure in numbers)]):
        line = f"source {ident}, {source_line(knowledge.sources[ident])}"
        out += _wrapped(line, width, "  ", "  ")
    return out
