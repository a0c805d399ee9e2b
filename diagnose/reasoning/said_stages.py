"""The outcomes of a decision in words: what is done, for what, how long, what it costs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import ceil

from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.lines import JobLine, Range, StageLine

__all__ = ["expected_inside", "looks_inside", "plausible_range", "price_of", "stage_lines"]

#: chance from which a stage counts as plausible when an inspection is booked
_PLAUSIBLE = 0.08

#: how much above a price is no news to a customer (foreman's judgement)
_MARGIN = 1.15

#: most causes that are named as what a stage is for
_MOST = 3


def stage_lines(decision: Decision) -> list[StageLine]:
    """What to call now, the first line for certain; then what else the plan holds."""
    done = zip(decision.plan.stages, decision.plan_sheets, strict=True)
    lines = [_stage_line(decision, stage, sheet) for stage, sheet in done]
    lines += [_within(decision, stage) for stage in decision.within]
    if not decision.belief.signs:
        return lines
    hold = _do_not_open(decision)
    return [hold, *lines] if decision.held else [*lines, hold]


def _stage_line(decision: Decision, stage: str, sheet: str) -> StageLine:
    prepared = decision.prepared
    knowledge = prepared.knowledge
    card, job = knowledge.sheets[sheet], knowledge.small_jobs.get(sheet)
    meant = [knowledge.causes[cause] for cause in decision.meant(stage)]
    if job is not None:
        meant = [cause for cause in meant if cause.remedy.job == job.id]
    minutes, parts = decision.work(sheet)
    # What a single cause needs is less than what its stage may need.
    kit = [] if job is None and len(meant) == 1 else list(card.kit)
    for cause in meant[:_MOST]:
        kit.extend(cause.remedy.kit)
    names = [cause.name for cause in meant[:_MOST]]
    reason = f"likeliest here: {'; '.join(names)}" if names else card.plain
    if knowledge.stages[stage].opens and not card.opens:
        reason = f"nothing is opened for it; {reason}"
    return StageLine(
        id=stage,
        job=None if job is None else JobLine(id=job.id, name=job.name),
        name=card.name,
        cures=round(decision.cured, 4),
        expected_cost=round(decision.cost, 2),
        currency=prepared.money.currency,
        minutes=round(minutes, 0),
        parts=round(parts, 2),
        kit=list(dict.fromkeys(kit)),
        reason=reason,
        inside=expected_inside(decision, sheet),
    )


def _within(decision: Decision, stage: str) -> StageLine:
    """Another fault's outcome that the plan's own opening takes in."""
    line = _stage_line(decision, stage, stage)
    return line.model_copy(
        update={
            "minutes": 0.0,
            "parts": 0.0,
            "expected_cost": 0.0,
            "kit": [],
            "inside": [],
            "within": True,
            "reason": f"a fault of its own, in the same opening; {line.reason}",
        }
    )


def expected_inside(decision: Decision, sheet: str) -> list[str]:
    """What is seen in what a sheet uncovers, if the call is right: a line a cause."""
    knowledge = decision.prepared.knowledge
    steps = knowledge.sheets[sheet].steps
    chambers = dict.fromkeys(step.uncovers for step in steps if step.uncovers is not None)
    seen = [cause for chamber in chambers for cause in decision.inside(sheet, chamber)]
    return looks_inside(knowledge, seen)


def looks_inside(knowledge: Knowledge, causes: Iterable[str]) -> list[str]:
    """What causes look like once what their remedies open is open."""
    cards = (knowledge.causes[cause] for cause in causes)
    return [f"'{card.name}': {card.inside}" for card in cards]


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
        holds=True,
        reason=f"{sign.floor.why}. Cleared only at the bench by: {', '.join(checks)}.",
    )


def price_of(lines: Iterable[StageLine], rate: float) -> float:
    """What these outcomes are likely to cost together [currency].

    Parameters
    ----------
    rate : the shop's price of a minute [currency].
    """
    return sum(line.minutes * rate + line.parts for line in lines)


def plausible_range(decision: Decision) -> Range:
    """Outcomes that are plausible now, and what the customer is told of the price: the same from
    call and ticket to quote and agreement.
    """
    prepared, listed = decision.prepared, decision.belief.hypotheses
    model, knowledge = prepared.cost_model, prepared.knowledge
    shares: dict[str, float] = {}
    minutes_parts: dict[str, float] = {}
    # stage -> what is done for it, the stage or a small job in its place -> its share
    done: dict[str, dict[str, float]] = {}
    needed = model.needed_stages(listed.present)
    right = model.right_plans(listed.present)
    price = model.prices(listed.present)
    for row, stage in enumerate(needed):
        weight = float(listed.weights[row])
        shares[stage] = shares.get(stage, 0.0) + weight
        minutes_parts[stage] = minutes_parts.get(stage, 0.0) + weight * float(
            price[row, right[row]]
        )
        sheets = model.plans[right[row]].sheets
        sheet = next((s for s in sheets if knowledge.stage_of(s) == stage), stage)
        done.setdefault(stage, {}).setdefault(sheet, 0.0)
        done[stage][sheet] += weight
    plausible = [s for s, share in shares.items() if share >= _PLAUSIBLE] or [
        decision.plan.stages[0]
    ]
    plausible.sort(key=lambda s: knowledge.stages[s].rank)
    own = price_of(stage_lines(decision), prepared.money.rate_per_minute)
    prices = [own, *(minutes_parts[s] / shares[s] for s in plausible if s in shares)]
    ways = [sheet for stage in plausible for sheet in _ways(decision, stage, done.get(stage, {}))]
    return Range(
        lowest=plausible[0],
        highest=plausible[-1],
        lowest_name=knowledge.sheets[ways[0]].name,
        highest_name=knowledge.sheets[ways[-1]].name,
        price=round(own),
        from_price=round(min(prices)),
        to_price=round(max(prices)),
        # Of another plan the customer is asked again: its dearest price is no leave to go there.
        call_before=10.0 * ceil(own * _MARGIN / 10.0) or 10.0,
        currency=prepared.money.currency,
    )


def _ways(decision: Decision, stage: str, shares: Mapping[str, float]) -> list[str]:
    """How a plausible outcome may be met: by small jobs that open less, then by all of it."""
    knowledge = decision.prepared.knowledge
    planned = dict(zip(decision.plan.stages, decision.plan_sheets, strict=True)).get(stage, stage)
    ways = {sheet for sheet, share in shares.items() if share >= _PLAUSIBLE} | {planned}
    jobs = knowledge.small_jobs
    less = {sheet for sheet in ways if sheet in jobs and knowledge.opens_less(jobs[sheet])}
    # What is planned for all of it gives it its name.
    return [*sorted(less), *([planned] if planned not in less else ways - less)]
