"""Causes against findings, stages, contexts, features, hazards and their look-alikes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import (
    Where,
    answer_problem,
    chance_problem,
    link_problems,
    near,
)
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import NOTHING, Finding

__all__ = ["causes_fit", "insides_told", "look_alikes_settled"]

#: two causes are told apart by a state that one shows this many times as often as the other
TELLING = 2.0

#: what neither of two causes shows in one of five tells nobody anything
SEEN = 0.2


def causes_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Causes link to findings and states, cure by stages, name systems, hazards and features."""
    pack, findings = knowledge.pack, knowledge.findings
    for ident, cause in knowledge.causes.items():

        def at(path: Where, what: str, hint: str, ident: str = ident) -> Problem:
            return lines.problem("causes", ident, path, what, hint)

        if cause.system not in pack.systems:
            yield at(("system",), f"no system '{cause.system}'.", near(cause.system, pack.systems))
        for feature in cause.needs:
            if feature not in pack.features:
                hint = near(feature, pack.features)
                yield at(("needs", feature), f"no feature '{feature}'.", hint)
        for context, bands in cause.context.items():
            if context not in pack.contexts:
                hint = near(context, pack.contexts)
                yield at(("context", context), f"no context '{context}'.", hint)
                continue
            known = {b.id for b in pack.contexts[context].bands}
            for band in bands:
                if band not in known:
                    yield at(("context", context, band), f"no band '{band}'.", near(band, known))
        for finding, value in cause.links.items():
            path: Where = ("links", finding)
            if finding not in findings:
                yield at(path, f"no finding '{finding}'.", near(finding, findings))
                continue
            yield from link_problems(knowledge, value, finding, path, at)
            needs = findings[finding].applies_when
            for feature, wanted in cause.needs.items():
                if needs.get(feature, wanted) != wanted:
                    yield at(path, f"'{finding}' never applies where this cause can be.", "")
        for stage, chance in cause.cures.items():
            if stage not in knowledge.stages:
                hint = near(stage, knowledge.stages)
                yield at(("cures", stage), f"no stage '{stage}'.", hint)
            if wrong := chance_problem(knowledge, chance):
                yield at(("cures", stage), wrong, "")
        if not cause.links:
            yield at(("links",), "it brings nothing about.", "Link the findings that show it.")
        dearest = max((stage.parts for stage in knowledge.stages.values()), default=0.0)
        if cause.remedy.parts > 2 * dearest > 0:
            yield at(
                ("remedy", "parts"),
                f"parts for {cause.remedy.parts:g}; a whole unit costs {dearest:g}.",
                "Correct the price: the pack's currency, not its hundredths.",
            )
        if not cause.cures:
            yield at(("cures",), "no stage cures this cause.", "Name one.")
        for hazard in cause.hazards:
            if hazard not in knowledge.hazards:
                hint = near(hazard, knowledge.hazards)
                yield at(("hazards",), f"no hazard '{hazard}'.", hint)
        for n, alike in enumerate(cause.mistaken_for):
            if alike.cause == ident:
                yield at(("mistaken_for", n), "it is mistaken for itself.", "Name the other cause.")
            if alike.cause not in knowledge.causes:
                yield at(
                    ("mistaken_for", n),
                    f"no cause '{alike.cause}'.",
                    near(alike.cause, knowledge.causes),
                )
            asks = {**knowledge.checks, **knowledge.symptoms}
            if alike.settled_by not in asks:
                yield at(
                    ("mistaken_for", n),
                    f"no check '{alike.settled_by}'.",
                    near(alike.settled_by, asks),
                )
        for kind in ("typical", "near_miss"):
            for n, example in enumerate(getattr(cause, kind)):
                for ask, state in example.answers.items():
                    if wrong := answer_problem(knowledge, ask, state):
                        yield at((kind, n, "answers", ask), wrong, "Name one of them.")
                for stage in example.stage:
                    if stage not in knowledge.stages:
                        hint = near(stage, knowledge.stages)
                        yield at((kind, n, "stage"), f"no stage '{stage}'.", hint)


def insides_told(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """What a sheet uncovers is told by every cause whose remedy opens it, and by no other."""
    sheets = knowledge.sheets.values()
    shown = {step.uncovers for sheet in sheets for step in sheet.steps}
    for ident, cause in knowledge.causes.items():
        opens = cause.remedy.opens
        if opens in shown and not cause.inside:
            what = f"inside: nobody says what it looks like in the opened '{opens}'."
            hint = "Say what is seen there, and what is sound."
            yield lines.problem("causes", ident, (), what, hint)
        elif opens == NOTHING and cause.inside:
            what = "inside: its remedy opens nothing."
            yield lines.problem("causes", ident, ("inside",), what, "Take it out.")


def look_alikes_settled(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """What settles a look-alike tells the two causes apart.

    One of them shows some state of what the check observes, the healthy one included, `TELLING`
    times as often as the other. A state that neither shows in at least `SEEN` settles nothing.
    """
    asks = {**knowledge.symptoms, **knowledge.checks}
    for ident, cause in knowledge.causes.items():
        for n, alike in enumerate(cause.mistaken_for):
            ask = alike.settled_by
            if alike.cause not in knowledge.causes or ask not in asks:
                continue  # told at the causes
            if not any(
                _tells_apart(knowledge, ident, alike.cause, finding)
                for finding in _told_by(knowledge, ask)
            ):
                what = f"settled_by: '{ask}' tells nothing between '{ident}' and '{alike.cause}'."
                hint = "Name what only one of the two brings about, or correct its links."
                yield lines.problem("causes", ident, ("mistaken_for", n, "settled_by"), what, hint)


def _told_by(knowledge: Knowledge, ask: str) -> list[str]:
    """Findings that a symptom or a check speaks of, as far as there are cards of them."""
    check = knowledge.checks.get(ask)
    card = check or knowledge.symptoms[ask]
    also = check.reading.also if check is not None and check.reading is not None else []
    told = (*card.findings, *(a.finding for a in also))
    return [finding for finding in told if finding in knowledge.findings]


def _tells_apart(knowledge: Knowledge, one: str, other: str, finding: str) -> bool:
    """One of two causes shows a state of the finding, `TELLING` times as often as the other."""
    card = knowledge.findings[finding]
    pairs = zip(_shown(knowledge, one, card), _shown(knowledge, other, card), strict=True)
    return any(max(p) >= max(SEEN, TELLING * min(p)) for p in pairs)


def _shown(knowledge: Knowledge, cause: str, finding: Finding) -> list[float]:
    """Chance of each state of a finding with one cause alone, its leak included."""
    brought = _sound(knowledge, finding, knowledge.causes[cause].links.get(finding.id, {}))
    leak = _sound(knowledge, finding, finding.leak)
    above = [1.0, *(1 - (1 - p) * (1 - q) for p, q in zip(brought, leak, strict=True)), 0.0]
    return [here - beyond for here, beyond in pairwise(above)]


def _sound(knowledge: Knowledge, finding: Finding, value: object) -> list[float]:
    """Chances of at least each ill state, without those that their own card's check objects to."""
    named = value if isinstance(value, dict) else {finding.states[1]: value}
    return knowledge.at_least(
        finding, {s: v for s, v in named.items() if not chance_problem(knowledge, v)}
    )
