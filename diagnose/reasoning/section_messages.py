"""The cautions that stand with a whole judgement, besides those before its steps."""

from __future__ import annotations

from diagnose.belief.compiled import UNLISTED
from diagnose.reasoning.advice import Advice
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.lines import CautionLine, caution_lines
from diagnose.symptom_graph.cautions import (
    cautions_of,
    hazards_met,
    hazards_now,
    sort_cautions,
)
from diagnose.symptom_graph.routes import sheet_hazards

__all__ = ["section_messages"]

#: signal words of what a whole plan can meet; the lesser ones stand before their steps
_GRAVE = frozenset({"DANGER", "WARNING"})


def section_messages(advice: Advice) -> list[CautionLine]:
    """Section messages, gravest first after the first words: what riding, carrying or posting it
    meets, and all grave things that the plan's sheets, or the pressure that the next check, can
    meet. The lesser ones stand before their steps.
    """
    decision, belief = advice.decision, advice.decision.belief
    knowledge = decision.prepared.knowledge
    chambers = belief.job.chambers(knowledge.device)
    hazards = _outside_hazards(decision)
    outside = {*belief.first_words, *(card.id for card in cautions_of(knowledge, hazards))}
    for sheet in decision.sheets:
        hazards += sheet_hazards(knowledge, knowledge.sheets[sheet], chambers)
    if advice.step in knowledge.checks:
        met = hazards_met(knowledge, knowledge.checks[advice.step].does, chambers)
        hazards += [hazard for hazard in met if knowledge.hazards[hazard].chambers]
    cards = [c for c in cautions_of(knowledge, hazards) if c.signal_word in _GRAVE]
    lead = sort_cautions(knowledge, belief.first_words)
    lines = caution_lines([*lead, *(card for card in cards if card not in lead)])
    return [line.model_copy(update={"outside": line.id in outside}) for line in lines]


def _outside_hazards(decision: Decision) -> list[str]:
    """What meets whoever rides, carries or posts it: hazards of likely causes, of what was found,
    and the pressure in what the plan opens.
    """
    belief, prepared = decision.belief, decision.prepared
    knowledge, device = prepared.knowledge, prepared.knowledge.device
    chambers = belief.job.chambers(device)
    found = {i.finding for i in belief.items if i.state != prepared.compiled.states(i.finding)[0]}
    hazards = [h.id for h in knowledge.hazards.values() if found & set(h.findings)]
    hazards += [
        h
        for cause, chance in belief.causes.items()
        if cause != UNLISTED and chance >= 0.15
        for h in knowledge.causes[cause].hazards
        if knowledge.causes[cause].ride.verdict != "ride"
    ]
    fails = device.load_hazard
    if fails is not None and belief.ride.verdict == "stop_riding" and _likely(belief, fails):
        hazards.append(fails)
    if belief.signs:
        hazards += hazards_met(knowledge, device.handing_on, chambers)
    opened = {c for stage in decision.stages for c in knowledge.stages[stage].opens[:1]}
    hazards += [
        h.id for h in knowledge.hazards.values() if h.acknowledge and opened & set(h.chambers)
    ]
    return hazards_now(knowledge, hazards, chambers)


def _likely(belief: Belief, hazard: str) -> bool:
    """A cause that brings this hazard is believed in."""
    knowledge = belief.prepared.knowledge
    return any(
        hazard in knowledge.causes[c].hazards
        for c, chance in belief.causes.items()
        if c != UNLISTED and chance >= 0.1
    )
