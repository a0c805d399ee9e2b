"""Hazards and floors against cautions, findings, checks and what is done."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, near
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["floors_fit", "hazards_fit"]


def hazards_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Hazards name cautions, findings, and acts that something on some card can do."""
    marks = {mark for s in knowledge.sheets.values() for step in s.steps for mark in step.marks}
    device = knowledge.device
    acts = device.events.keys() | device.acts.keys() | marks
    done = marks | {word for check in knowledge.checks.values() for word in check.does}
    done |= {word for s in knowledge.sheets.values() for step in s.steps for word in step.does}
    for ident, hazard in knowledge.hazards.items():
        for name, known in (("acts", acts), ("findings", knowledge.findings)):
            for word in getattr(hazard, name):
                if word not in known:
                    what = f"no {name.removesuffix('s')} '{word}'."
                    yield lines.problem("hazards", ident, (name,), what, near(word, known))
        for n, act in enumerate(hazard.acts):
            if act in acts - done:
                what = f"acts: no check and no step does '{act}'."
                hint = "Say on the card what is done, or take the word out."
                yield lines.problem("hazards", ident, ("acts", n), what, hint)
        for caution in hazard.cautions:
            if caution not in knowledge.cautions:
                yield lines.problem(
                    "hazards",
                    ident,
                    ("cautions",),
                    f"no caution '{caution}'.",
                    near(caution, knowledge.cautions),
                )


def floors_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Floors name findings, states, outcomes and checks; what forbids opening says what clears it.

    A floor that forbids opening is cleared by a check at the bench that lets nothing out and opens
    nothing, and a caution is said for it before any question.
    """
    pack = knowledge.pack
    for n, floor in enumerate(knowledge.floors):

        def at(path: Where, what: str, hint: str, n: int = n) -> Problem:
            return lines.problem("floors", str(n), path, what, hint)

        finding = knowledge.findings.get(floor.finding)
        if finding is None:
            nearest = near(floor.finding, knowledge.findings)
            yield at(("finding",), f"no finding '{floor.finding}'.", nearest)
            continue
        if floor.at_least not in finding.states[1:]:
            nearest = near(floor.at_least, finding.states[1:])
            yield at(("at_least",), f"no ill state '{floor.at_least}'.", nearest)
        if floor.at_most is not None and floor.at_most not in finding.states[1:]:
            nearest = near(floor.at_most, finding.states[1:])
            yield at(("at_most",), f"no ill state '{floor.at_most}'.", nearest)
        if floor.until_asked is not None and floor.until_asked not in knowledge.findings:
            nearest = near(floor.until_asked, knowledge.findings)
            yield at(("until_asked",), f"no finding '{floor.until_asked}'.", nearest)
        if floor.say is not None and floor.say not in knowledge.cautions:
            yield at(("say",), f"no caution '{floor.say}'.", near(floor.say, knowledge.cautions))
        if floor.stage is not None and floor.stage not in knowledge.stages:
            nearest = near(floor.stage, knowledge.stages)
            yield at(("stage",), f"no stage '{floor.stage}'.", nearest)
        if floor.ride == "ride" and not floor.forbids and floor.stage is None:
            yield at((), "this floor forbids nothing.", "Say what stands, or take the row away.")
        for check in floor.lifted_by or ():
            card = knowledge.checks.get(check)
            if card is None:
                yield at(("lifted_by",), f"no check '{check}'.", near(check, knowledge.checks))
            elif "open" in floor.forbids and knowledge.device.letting_out & set(card.does):
                hint = "Clear without opening anything."
                yield at(("lifted_by",), f"'{check}' lets gas out to clear it.", hint)
        if "open" not in floor.forbids:
            continue
        lifts = [knowledge.checks[c] for c in floor.lifted_by or () if c in knowledge.checks]
        if floor.lifted_by is None or (lifts and not any(c.at == "bench" for c in lifts)):
            hint = "Name the bench checks that clear it."
            yield at(("lifted_by",), "what forbids opening is cleared at the bench only.", hint)
        if floor.say is None:
            yield at((), "what forbids opening is said before any question.", "Name it in 'say'.")
    over = pack.over_maximum
    if over is not None:
        states = (
            knowledge.findings[over.finding].states if over.finding in knowledge.findings else []
        )
        if over.state not in states[1:]:
            yield lines.problem(
                "pack",
                "",
                ("over_maximum",),
                f"no ill state '{over.state}' of '{over.finding}'.",
                "",
            )
