"""Knowledge with one thing wrong, to see whether anybody notices.

A mutant is the pack with one link, cure, need, hazard, caution or step dropped or exchanged, a
verdict softened, or a rate moved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Cause, PlacedRates, Step, rate_at

__all__ = ["KINDS", "Kind", "Mutant", "mutants"]


@dataclass(frozen=True)
class Mutant:
    """One wrong pack: what kind of fault, where, and the pack.

    Attributes
    ----------
    card : id of the changed card. findings : of a changed link, what it speaks of.
    """

    kind: str
    where: str
    knowledge: Knowledge
    card: str
    findings: frozenset[str] = frozenset()


#: a wrong pack, as its kind makes it: card, place in the card, pack, findings of a changed link
Wrong = Iterator[tuple[str, str, Knowledge, frozenset[str]]]


@dataclass(frozen=True)
class Kind:
    """One kind of fault.

    Attributes
    ----------
    make : all wrong packs of that kind. target : share that must be noticed, or None.
    believed : whether chances rest on it; otherwise only what is shown can change.
    """

    make: Callable[[Knowledge], Wrong]
    target: float | None = 0.95
    believed: bool = True


def mutants(knowledge: Knowledge, kinds: Iterable[str] | None = None) -> Iterator[Mutant]:
    """Every pack with one thing wrong, of these kinds (names in `KINDS`) or of all."""
    for kind in kinds or KINDS:
        for card, place, wrong, findings in KINDS[kind].make(knowledge):
            yield Mutant(kind, f"{card}: {place}" if place else card, wrong, card, findings)


def _with(knowledge: Knowledge, folder: str, ident: str, **change: object) -> Knowledge:
    cards: Mapping[str, object] = getattr(knowledge, folder)
    card = cards[ident].model_copy(update=change)  # type: ignore[attr-defined]
    return knowledge.model_copy(update={folder: {**cards, ident: card}})


def _without_links(knowledge: Knowledge) -> Wrong:
    for cause in knowledge.causes.values():
        for finding in cause.links:
            rest = {f: value for f, value in cause.links.items() if f != finding}
            changed = _with(knowledge, "causes", cause.id, links=rest)
            yield cause.id, finding, changed, frozenset({finding})


def _exchanged_links(knowledge: Knowledge) -> Wrong:
    """The strongest and the weakest link with the same states, in each other's place."""
    for cause in knowledge.causes.values():
        alike: dict[tuple[str, ...], list[str]] = {}
        for finding, value in cause.links.items():
            states = tuple(value) if isinstance(value, dict) else ()
            alike.setdefault(states, []).append(finding)
        for names in alike.values():
            names.sort(key=lambda f: _strength(knowledge, cause, f))
            weak, strong = names[0], names[-1]
            if _strength(knowledge, cause, strong) > 1.5 * _strength(knowledge, cause, weak):
                links = {**cause.links, weak: cause.links[strong], strong: cause.links[weak]}
                changed = _with(knowledge, "causes", cause.id, links=links)
                yield cause.id, f"{weak} and {strong}", changed, frozenset({weak, strong})


def _strength(knowledge: Knowledge, cause: Cause, finding: str) -> float:
    value = cause.links[finding]
    return knowledge.chance(
        max(value.values(), key=knowledge.chance) if isinstance(value, dict) else value
    )


def _without_cures(knowledge: Knowledge) -> Wrong:
    for cause in knowledge.causes.values():
        for stage in cause.cures:
            rest = {s: value for s, value in cause.cures.items() if s != stage}
            yield cause.id, stage, _with(knowledge, "causes", cause.id, cures=rest), frozenset()


def _other_stage(knowledge: Knowledge) -> Wrong:
    """The stage that cures best, taken for the next one by rank that is not named."""
    ranked = sorted(knowledge.stages.values(), key=lambda s: s.rank)
    for cause in knowledge.causes.values():
        best = max(cause.cures, key=lambda s: knowledge.chance(cause.cures[s]))
        others = [s.id for s in ranked if s.id not in cause.cures]
        higher = [s for s in others if knowledge.stages[s].rank > knowledge.stages[best].rank]
        if others:
            other = (higher or others[::-1])[0]
            cures = {other if s == best else s: value for s, value in cause.cures.items()}
            changed = _with(knowledge, "causes", cause.id, cures=cures)
            yield cause.id, f"{other} for {best}", changed, frozenset()


def _without_needs(knowledge: Knowledge) -> Wrong:
    """A part that the shock must have, no longer asked for."""
    for cause in knowledge.causes.values():
        for feature in cause.needs:
            rest = {f: value for f, value in cause.needs.items() if f != feature}
            yield cause.id, feature, _with(knowledge, "causes", cause.id, needs=rest), frozenset()


def _softened(knowledge: Knowledge) -> Wrong:
    """'Stop riding' said as 'ride'."""
    for cause in knowledge.causes.values():
        if cause.ride.verdict == "stop_riding":
            verdict = cause.ride.model_copy(update={"verdict": "ride"})
            yield cause.id, "", _with(knowledge, "causes", cause.id, ride=verdict), frozenset()


def _without_hazards(knowledge: Knowledge) -> Wrong:
    """A hazard left out of a cause, or not met any more by one of its acts."""
    for cause in knowledge.causes.values():
        for hazard in cause.hazards:
            rest = [h for h in cause.hazards if h != hazard]
            yield cause.id, hazard, _with(knowledge, "causes", cause.id, hazards=rest), frozenset()
    for row in knowledge.hazards.values():
        for act in row.acts:
            rest = [a for a in row.acts if a != act]
            yield row.id, act, _with(knowledge, "hazards", row.id, acts=rest), frozenset()


def _without_cautions(knowledge: Knowledge) -> Wrong:
    """A caution left out of a hazard."""
    for hazard in knowledge.hazards.values():
        for caution in hazard.cautions:
            rest = [c for c in hazard.cautions if c != caution]
            changed = _with(knowledge, "hazards", hazard.id, cautions=rest)
            yield hazard.id, caution, changed, frozenset()


def _without_steps(knowledge: Knowledge) -> Wrong:
    """A step of a sheet that has a mark, left out."""
    for ident, sheet in knowledge.sheets.items():
        for n, step in enumerate(sheet.steps):
            if step.marks:
                steps = [*sheet.steps[:n], *sheet.steps[n + 1 :]]
                changed = _with(knowledge, knowledge.sheet_kind(ident), ident, steps=steps)
                yield ident, " ".join(step.marks), changed, frozenset()


def _turned_steps(knowledge: Knowledge) -> Wrong:
    """Two neighbouring marked steps of a sheet in each other's place: the order of release."""
    for ident, sheet in knowledge.sheets.items():
        marked = [n for n, step in enumerate(sheet.steps) if step.marks]
        for a, b in pairwise(marked):
            steps: list[Step] = list(sheet.steps)
            steps[a], steps[b] = steps[b], steps[a]
            place = f"{' '.join(sheet.steps[b].marks)} before {' '.join(sheet.steps[a].marks)}"
            kind = knowledge.sheet_kind(ident)
            yield ident, place, _with(knowledge, kind, ident, steps=steps), frozenset()


def _rates(factor: float) -> Callable[[Knowledge], Wrong]:
    def wrong(knowledge: Knowledge) -> Wrong:
        for cause in knowledge.causes.values():
            moved = PlacedRates(
                counter=factor * rate_at(cause.per_1000, "counter"),
                bench=factor * rate_at(cause.per_1000, "bench"),
            )
            yield cause.id, "", _with(knowledge, "causes", cause.id, per_1000=moved), frozenset()

    return wrong


#: the kinds of fault
KINDS: dict[str, Kind] = {
    "link dropped": Kind(_without_links),
    "links exchanged": Kind(_exchanged_links),
    "cure dropped": Kind(_without_cures),
    "other stage": Kind(_other_stage),
    "need dropped": Kind(_without_needs),
    "stop softened": Kind(_softened, 1.0),
    "hazard dropped": Kind(_without_hazards, 1.0, believed=False),
    "caution dropped": Kind(_without_cautions, 1.0, believed=False),
    "step dropped": Kind(_without_steps, 1.0, believed=False),
    "steps turned": Kind(_turned_steps, 1.0, believed=False),
    "rate x 3": Kind(_rates(3.0), None),
    "rate / 3": Kind(_rates(1.0 / 3.0), None),
}
