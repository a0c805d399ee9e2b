"""The cards of causes against what somebody who did not look at them says from the other side.

Rules
-----
- A row that stands in the second opinion is whole: it names every cause whose card says so, and
  no other. A finding, a stage, a hazard or a part that no row speaks of is a problem as soon as
  one of its kind is spoken of.
- How often is told in words, and words overlap (`SPANS`): nobody tells 0.3 from 0.4, and what two
  people tell alike is no contradiction.
- Which of the two is wrong, the check does not know.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, chance_problem, near
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["SPANS", "contradictions", "opinions_agree"]

#: what a word of the second opinion covers, both ends included (a foreman's judgement)
SPANS: dict[str, tuple[float, float]] = {
    "usually": (0.6, 1.0),
    "often": (0.3, 0.8),
    "sometimes": (0.07, 0.45),
    "seldom": (0.0, 0.15),
    "surely": (0.6, 1.0),
    "perhaps": (0.0, 0.8),
}

#: place in the second opinion, and what is wrong there
Contradiction = tuple[Where, str]

_HINT = "One of the two is wrong: think of a hundred with nothing but that, then mend card or row."


def opinions_agree(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Every contradiction between the cards of causes and the second opinion."""
    for path, what in contradictions(knowledge):
        yield lines.problem("second_opinion", "", path, what, _HINT)


def contradictions(knowledge: Knowledge) -> Iterator[Contradiction]:
    """Where the cards of causes and the second opinion differ."""
    opinion, causes = knowledge.second_opinion, knowledge.causes.values()
    shown = {
        f: {c.id: _shows(knowledge, c.links[f]) for c in causes if f in c.links}
        for f in knowledge.findings
    }
    cured = {
        s: {c.id: _shows(knowledge, c.cures[s]) for c in causes if s in c.cures}
        for s in knowledge.stages
    }
    yield from _worded("findings", opinion.findings, shown, knowledge, "is shown by")
    yield from _worded("cures", opinion.cures, cured, knowledge, "cures")
    rides: dict[str, list[str]] = {}
    for cause in causes:
        rides.setdefault(cause.ride.verdict, []).append(cause.id)
    yield from _listed(("rides",), opinion.rides, rides, knowledge)
    met = {h: [c.id for c in causes if h in c.hazards] for h in knowledge.hazards}
    yield from _listed(("hazards",), opinion.hazards, met, knowledge)
    for part in knowledge.pack.features:
        rows = {
            word: [c.id for c in causes if c.needs.get(part) is wanted]
            for word, wanted in (("there", True), ("missing", False))
        }
        if opinion.needs:
            yield from _listed(("needs", part), opinion.needs.get(part, {}), rows, knowledge)


def _shows(knowledge: Knowledge, value: object) -> float:
    """The largest chance of a link or cure; 0 for what its own card's check objects to."""
    values = value.values() if isinstance(value, dict) else (value,)
    return max(0.0 if chance_problem(knowledge, v) else knowledge.chance(v) for v in values)


def _worded(
    kind: str,
    rows: Mapping[str, Mapping[Any, list[str]]],
    cards: Mapping[str, Mapping[str, float]],
    knowledge: Knowledge,
    verb: str,
) -> Iterator[Contradiction]:
    """Rows that say how often, against the numbers of the cards."""
    if not rows:
        return
    for ident in rows.keys() - cards.keys():
        yield (kind, ident), f"there is no '{ident}' of that kind. {near(ident, cards)}"
    for ident, said in cards.items():
        row = rows.get(ident, {})
        named = [cause for word in row for cause in row[word]]
        yield from _names((kind, ident), named, said, knowledge)
        for word, causes in row.items():
            low, high = SPANS[word]
            for cause in causes:
                if cause in said and not low <= said[cause] <= high:
                    what = f"'{ident}' {verb} {cause}: {word}, and its card says {said[cause]:g}."
                    yield (kind, ident, word), what


def _listed(
    place: Where,
    rows: Mapping[Any, list[str]],
    cards: Mapping[str, list[str]],
    knowledge: Knowledge,
) -> Iterator[Contradiction]:
    """Rows that only name causes, against the cards."""
    if not rows and place[0] != "needs":
        return
    for ident in rows.keys() - cards.keys():
        yield (*place, ident), f"there is no '{ident}' of that kind. {near(ident, cards)}"
    for ident, causes in cards.items():
        yield from _names((*place, ident), rows.get(ident, []), causes, knowledge)


def _names(
    place: Where, named: list[str], carded: Iterable[str], knowledge: Knowledge
) -> Iterator[Contradiction]:
    """A row names a cause twice, one that there is not, one whose card is silent, or misses one."""
    carded = set(carded)
    for cause in sorted({c for c in named if named.count(c) > 1}):
        yield place, f"'{cause}' stands there twice."
    for cause in sorted(set(named) - carded):
        if cause not in knowledge.causes:
            yield place, f"no cause '{cause}'. {near(cause, knowledge.causes)}"
        else:
            yield place, f"{cause} is named for {place[-1]}, and its card is silent."
    for cause in sorted(carded - set(named)):
        yield place, f"the card of {cause} says {place[-1]}, and it is not named."
