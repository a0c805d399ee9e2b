"""What may be asked or done next: the options of one moment, with price and chances of answers.

Rules
-----
- A question goes to whoever can know it: customers at the counter, hands at the bench.
- What was answered, skipped, not known, or does not apply to this shock is not offered again; nor
  is what was struck out of the words, unless a floor may rest on it: that is asked for itself.
- What is only seen with something else waits until that was reported (`in_place`), and what needs
  the shock as it came in, or opened, is offered only while it is so (`Device.unmet`).
- No check that loads the shock is offered while there is a reason to stop, none that lets air out
  or pumps while a sign of trapped gas stands, unless it is there to clear the sign, and none that
  fills while a part that holds pressure may be damaged.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.hypotheses import Hypotheses
from diagnose.belief.network import Evidence, Floats
from diagnose.belief.reports import report_table
from diagnose.job.state import JobState
from diagnose.knowledge.models import Check, Economics, Symptom
from diagnose.reasoning.evidence import Item
from diagnose.reasoning.in_place import in_place
from diagnose.strategy.lookahead import Option
from diagnose.strategy.policy import ASK_COST, TRUSTED
from diagnose.symptom_graph.cautions import hazards_met

__all__ = [
    "answered_share",
    "can_look_at",
    "candidates",
    "find_card",
    "options_for",
    "parts_of",
]

_CHANNELS_WITHOUT_HANDS = {"phone", "mail"}


def answered_share(compiled: Compiled, job: JobState) -> float:
    """How often a question of this desk is likely to be answered, 0..1, by the answers so far.

    'Not sure' costs its minutes and tells nothing; who could not say five times will hardly be
    asked a sixth time for a little.
    """
    bench = job.at == "bench"
    checks = compiled.knowledge.checks

    def here(ask: str) -> bool:
        return (ask in checks and checks[ask].at == "bench") == bench

    unsure = sum(here(ask) for ask in job.unsure | set(job.skipped))
    unsure += 0 if bench else job.choices.unanswered
    known = sum(here(ask) for ask, _ in job.reports)
    return (known + TRUSTED) / (known + unsure + TRUSTED)


def can_look_at(check: Check, job: JobState) -> bool:
    """The shop has before it what this check looks at."""
    if job.channel in _CHANNELS_WITHOUT_HANDS:
        return False
    return job.channel == "bike_here" or not check.needs_bike


def find_card(compiled: Compiled, ident: str) -> Symptom | Check:
    """The symptom or check with this id; KeyError if there is none."""
    knowledge = compiled.knowledge
    return knowledge.symptoms[ident] if ident in knowledge.symptoms else knowledge.checks[ident]


def candidates(
    compiled: Compiled,
    job: JobState,
    items: Iterable[Item],
    *,
    stop: bool,
    trapped: set[str] | None,
    fill: bool = True,
    shop_has: frozenset[str] | None = None,
) -> list[Symptom | Check]:
    """Cards that may come next.

    Parameters
    ----------
    stop : a reason to stop riding is believed. trapped : checks that clear the standing signs, or
    None where no sign stands. fill : it may be filled. shop_has : equipment of the shop, None:
    everything.
    """
    knowledge = compiled.knowledge
    items = list(items)
    # What decides the ride is asked however plainly it was heard, if no more was heard than that.
    vague = {(floor.until_asked, floor.at_least) for floor in knowledge.floors}
    told = {
        i.finding
        for i in items
        if i.by == "customer" and (not i.words or (i.finding, i.state) not in vague)
    }
    seen = {i.finding for i in items if i.by != "customer"}
    read = [c for ask, _ in job.reports if (c := knowledge.checks.get(ask)) is not None]
    done, device = job.dealt_with, knowledge.device
    floored = {floor.finding for floor in knowledge.floors}
    counter = job.at == "counter"
    result: list[Symptom | Check] = []
    if counter:
        for card in knowledge.symptoms.values():
            if not card.ask or card.id in done or card.observes in told | seen:
                continue
            if card.id in job.struck and card.observes not in floored:
                continue
            if card.needs_bike and job.channel != "bike_here":
                continue
            if _applies(compiled, card, job) and in_place(compiled, items, card.observes):
                result.append(card)
    for check in knowledge.checks.values():
        if check.id in done or not _applies(compiled, check, job):
            continue
        if check.at == "bench" and counter:
            continue
        if check.at == "counter" and not can_look_at(check, job):
            continue
        about = check.findings
        if check.at == "counter" and seen.issuperset(about):
            continue
        if not any(in_place(compiled, items, finding) for finding in about):
            continue
        if any(_outdone_by(better, check) for better in read):
            continue
        if device.unmet(check.needs, job.happened):
            continue
        if shop_has is not None and not set(check.shop_needs) <= shop_has:
            continue
        if stop and device.loading & set(check.does):
            continue
        if not fill and device.filling & set(check.does):
            continue
        if trapped is not None and check.id not in trapped and _touches(compiled, check):
            continue
        result.append(check)
    return result


def _outdone_by(done: Check, check: Check) -> bool:
    """The same number was read for the same finding, by a check that shows as mild a state."""
    one, other = done.reading, check.reading
    if one is None or other is None or done.observes != check.observes:
        return False
    if one.shows is None or other.shows is None:
        return one.quantity == other.quantity
    shown = one.rates[one.shows].median <= other.rates[other.shows].median
    return shown and one.quantity == other.quantity


def _touches(compiled: Compiled, check: Check) -> bool:
    """The check does something to the shock, or may meet what is trapped in it."""
    knowledge, device = compiled.knowledge, compiled.knowledge.device
    met = hazards_met(knowledge, check.does, {})
    return bool(device.effects(check.does)) or any(
        device.trapping & set(knowledge.hazards[h].chambers) for h in met
    )


def parts_of(compiled: Compiled, card: Symptom | Check) -> dict[str, bool]:
    """Features on which a question or check hangs -> whether they must be there."""
    return {name: has for needs in _needs(compiled, card) for name, has in needs.items()}


def _applies(compiled: Compiled, card: Symptom | Check, job: JobState) -> bool:
    """Some of what it reports on can be there with this shock, as far as it is known."""
    return any(
        all(job.shock.get(name) in (None, wanted) for name, wanted in needs.items())
        for needs in _needs(compiled, card)
    )


def _needs(compiled: Compiled, card: Symptom | Check) -> list[dict[str, bool]]:
    """Features that must hold for each finding of a card."""
    about = (compiled.finding(finding) for finding in card.findings)
    return [{**finding.applies_when, **card.applies_when} for finding in about]


def options_for(
    compiled: Compiled,
    cards: Iterable[Symptom | Check],
    hypotheses: Hypotheses,
    evidence: Evidence,
    job: JobState,
    money: Economics,
) -> list[Option]:
    """Options with prices [currency] and the chance of each answer in each fault set.

    The price is that of an answer: one that is often not known is paid for more than once.
    """
    share = answered_share(compiled, job)
    rate = money.counter_rate_per_minute if job.at == "counter" else money.rate_per_minute
    result = []
    for card in cards:
        by = "customer" if isinstance(card, Symptom) else card.at
        chances = state_chances(compiled, card.observes, hypotheses, evidence)
        table = report_table(compiled.knowledge, card, by)
        minutes = card.minutes + (ASK_COST if job.at == "counter" else 0.0)
        act = card.act if isinstance(card, Check) else None
        act_price = card.act_minutes * rate if isinstance(card, Check) else 0.0
        result.append(
            Option(card.id, minutes * rate / share, chances @ table, card.observes, act, act_price)
        )
    return result


def state_chances(
    compiled: Compiled, finding: str, hypotheses: Hypotheses, evidence: Evidence
) -> Floats:
    """(sets, states) chance of each state of a finding in each set, after its own evidence."""
    f = compiled.network.finding_index[finding]
    start, end = compiled.network.state_offsets[f : f + 2]
    chances = hypotheses.chances[:, int(start) : int(end)]
    if f in evidence:
        chances = chances * evidence[f]
        chances = chances / np.maximum(chances.sum(axis=1, keepdims=True), 1e-300)
    return chances
