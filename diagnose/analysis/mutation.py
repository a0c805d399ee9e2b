"""Knowledge with one thing wrong: does a hand-written example notice?

A mutant is the pack with one link, hazard, caution or cure dropped, a verdict softened, or a number
moved. It is noticed when call, ride or cautions of any job are not what they were.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.analysis.comparison import calls
from diagnose.knowledge.loader import Knowledge
from diagnose.session.reasoner import Reasoner

__all__ = ["KINDS", "Mutant", "mutants", "survivors"]

#: what is compared of a job to notice a mutant; the next question may change freely
_NOTICED = ("call", "ride", "cautions")


@dataclass(frozen=True)
class Mutant:
    """One wrong pack: what kind of fault, where, and the pack."""

    kind: str
    where: str
    knowledge: Knowledge


def mutants(knowledge: Knowledge, kinds: Iterable[str] | None = None) -> Iterator[Mutant]:
    """Every pack with one thing wrong, of these kinds (names in `KINDS`) or of all."""
    for kind in kinds or KINDS:
        for where, wrong in KINDS[kind](knowledge):
            yield Mutant(kind, where, wrong)


def survivors(
    right: Reasoner, wrong: Iterable[Mutant], jobs: Iterable[tuple[str, Mapping[str, Any]]]
) -> list[Mutant]:
    """Mutants under which the same is said of every job as under the right pack.

    Jobs are tried in order until one notices: those most likely to notice come first.
    """
    jobs = list(jobs)
    expected = [_noticed(calls(right, job)) for _, job in jobs]
    alive = []
    for mutant in wrong:
        reasoner = Reasoner(mutant.knowledge)
        # No mutant touches the customer's words, and the recogniser is slow to build.
        reasoner.recogniser = right.recogniser
        if all(
            _noticed(calls(reasoner, job)) == said
            for (_, job), said in zip(jobs, expected, strict=True)
        ):
            alive.append(mutant)
    return alive


def _noticed(said: Mapping[str, str]) -> dict[str, str]:
    return {what: said[what] for what in _NOTICED if what in said}


Wrong = Iterator[tuple[str, Knowledge]]


def _causes(knowledge: Knowledge, ident: str, **change: object) -> Knowledge:
    card = knowledge.causes[ident].model_copy(update=change)
    return knowledge.model_copy(update={"causes": {**knowledge.causes, ident: card}})


def _without_links(knowledge: Knowledge) -> Wrong:
    for cause in knowledge.causes.values():
        for finding in cause.links:
            rest = {f: value for f, value in cause.links.items() if f != finding}
            yield f"{cause.id}: {finding}", _causes(knowledge, cause.id, links=rest)


def _without_cures(knowledge: Knowledge) -> Wrong:
    for cause in knowledge.causes.values():
        for stage in cause.cures:
            rest = {s: value for s, value in cause.cures.items() if s != stage}
            yield f"{cause.id}: {stage}", _causes(knowledge, cause.id, cures=rest)


def _softened(knowledge: Knowledge) -> Wrong:
    """'Stop riding' said as 'ride'."""
    for cause in knowledge.causes.values():
        if cause.ride.verdict == "stop_riding":
            verdict = cause.ride.model_copy(update={"verdict": "ride"})
            yield cause.id, _causes(knowledge, cause.id, ride=verdict)


def _without_hazards(knowledge: Knowledge) -> Wrong:
    """A hazard left out of a cause, or of every step of a stage that has it."""
    for cause in knowledge.causes.values():
        for hazard in cause.hazards:
            rest = [h for h in cause.hazards if h != hazard]
            yield f"{cause.id}: {hazard}", _causes(knowledge, cause.id, hazards=rest)
    for stage in knowledge.stages.values():
        for hazard in dict.fromkeys(h for step in stage.steps for h in step.hazards):
            steps = [
                step.model_copy(update={"hazards": [h for h in step.hazards if h != hazard]})
                for step in stage.steps
            ]
            card = stage.model_copy(update={"steps": steps})
            stages = {**knowledge.stages, stage.id: card}
            yield f"{stage.id}: {hazard}", knowledge.model_copy(update={"stages": stages})


def _without_cautions(knowledge: Knowledge) -> Wrong:
    """A caution left out of a hazard that has another."""
    for hazard in knowledge.hazards.values():
        for caution in hazard.cautions if len(hazard.cautions) > 1 else []:
            rest = [c for c in hazard.cautions if c != caution]
            card = hazard.model_copy(update={"cautions": rest})
            hazards = {**knowledge.hazards, hazard.id: card}
            yield f"{hazard.id}: {caution}", knowledge.model_copy(update={"hazards": hazards})


def _rates(factor: float) -> Callable[[Knowledge], Wrong]:
    def wrong(knowledge: Knowledge) -> Wrong:
        for cause in knowledge.causes.values():
            rate = cause.per_1000
            if isinstance(rate, float | int):
                moved: object = factor * rate
            else:
                moved = rate.model_copy(update={"value": factor * float(rate.value)})
            yield cause.id, _causes(knowledge, cause.id, per_1000=moved)

    return wrong


#: kind of fault -> packs with one such fault, with the place
KINDS: dict[str, Callable[[Knowledge], Wrong]] = {
    "link dropped": _without_links,
    "cure dropped": _without_cures,
    "stop softened": _softened,
    "hazard dropped": _without_hazards,
    "caution dropped": _without_cautions,
    "rate x 3": _rates(3.0),
    "rate / 3": _rates(1.0 / 3.0),
}
