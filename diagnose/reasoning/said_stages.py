"""The outcomes of a decision in words: what is done, for what, how long, what it costs."""

from __future__ import annotations

from diagnose.belief.compiled import UNLISTED
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.lines import Range, StageLine

__all__ = ["plausible_range", "stage_lines"]

#: chance from which a stage counts as plausible when an inspection is booked
_PLAUSIBLE = 0.08

#: chance from which a cause is named as what a stage is for
_NAMED = 0.05


def stage_lines(decision: Decision) -> list[StageLine]:
    """What to call now, the first line for certain; then what else the plan holds."""
    lines = [_stage_line(decision, stage) for stage in decision.plan.stages]
    return [_do_not_open(decision), *lines] if decision.belief.signs else lines


def _stage_line(decision: Decision, stage: str) -> StageLine:
    prepared = decision.prepared
    model, knowledge = prepared.cost_model, prepared.knowledge
    card = knowledge.stages[stage]
    meant = [
        (chance, cause)
        for cause, chance in decision.belief.causes.items()
        if cause != UNLISTED and chance >= _NAMED and model.meant_for(cause, stage)
    ]
    shut = decision.plan.shut
    minutes, parts = decision.work(stage)
    kit = list(card.kit) if len(meant) != 1 and not shut else []
    for _, cause in meant[:3]:
        kit.extend(knowledge.causes[cause].remedy.kit)
    names = [knowledge.causes[c].name for _, c in meant[:3]]
    reason = f"likeliest here: {'; '.join(names)}" if names else card.plain
    if shut and card.opens:
        reason = f"nothing is opened for it; {reason}"
    return StageLine(
        id=stage,
        name=card.name,
        cures=round(decision.cured, 4),
        expected_cost=round(decision.cost, 2),
        currency=prepared.money.currency,
        minutes=round(minutes, 0),
        parts=round(parts, 2),
        kit=list(dict.fromkeys(kit)),
        reason=reason,
    )


def _do_not_open(decision: Decision) -> StageLine:
    prepared = decision.prepared
    card = prepared.knowledge.stages[prepared.knowledge.device.stages.shut]
    sign = decision.belief.signs[0]
    cards = [prepared.knowledge.checks[c] for c in sign.lifts]
    checks = [check.name for check in cards if check.at == "bench"]
    return StageLine(
        id=card.id,
        name=card.name,
        cures=0.0,
        expected_cost=round(card.minutes * prepared.money.rate_per_minute, 2),
        currency=prepared.money.currency,
        minutes=card.minutes,
        parts=card.parts,
        kit=list(card.kit),
        reason=f"{sign.floor.why}. Cleared only at the bench by: {', '.join(checks)}.",
    )


def plausible_range(decision: Decision) -> Range:
    """Outcomes that are plausible now, and the cost of the dearest of them."""
    prepared, listed = decision.prepared, decision.belief.hypotheses
    model, knowledge = prepared.cost_model, prepared.knowledge
    shares: dict[str, float] = {}
    minutes_parts: dict[str, float] = {}
    needed = model.needed_stages(listed.present)
    right = model.right_plans(listed.present)
    price = model.prices(listed.present)
    for row, stage in enumerate(needed):
        weight = float(listed.weights[row])
        shares[stage] = shares.get(stage, 0.0) + weight
        minutes_parts[stage] = minutes_parts.get(stage, 0.0) + weight * float(
            price[row, right[row]]
        )
    plausible = [s for s, share in shares.items() if share >= _PLAUSIBLE] or [
        decision.plan.stages[0]
    ]
    plausible.sort(key=lambda s: knowledge.stages[s].rank)
    dearest = max(minutes_parts.get(s, 0.0) / shares.get(s, 1.0) for s in plausible)
    return Range(
        lowest=plausible[0],
        highest=plausible[-1],
        call_before=round(dearest * 1.15, -1) or 10.0,
        currency=prepared.money.currency,
    )
