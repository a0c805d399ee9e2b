"""What may be asked or done next: the options of one moment, with price and chances of answers.

Rules
-----
- A question goes to whoever can know it: customers at the counter, hands at the bench.
- What was answered, skipped, not known, or does not apply to this shock is not offered again; nor
  is what was struck out of the words, unless a floor may rest on it: that is asked for itself.
- What is only seen with something else waits until that was reported (`in_place`), and what needs
  the shock as it came in, or opened, is offered only while it is so (`Device.unmet`). Where a
  sheet was set back in its middle, what lies open is only looked at.
- No check that loads the shock is offered while a part that carries load or holds pressure may
  fail, none that lets air out or pumps while a sign of trapped gas stands, unless it is there to
  clear the sign, and none that fills while a part that holds pressure may be damaged. Lost air and
  lost damping stop a ride and no hand on the saddle.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.hypotheses import Hypotheses
from diagnose.belief.network import Evidence, Floats
from diagnose.belief.reports import report_table
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import (
    NONE,
    NOT_SURE,
    Check,
    Economics,
    Frame,
    FrameRow,
    Symptom,
)
from diagnose.reasoning.evidence import Item
from diagnose.reasoning.in_place import in_place
from diagnose.strategy.lookahead import Option
from diagnose.strategy.policy import USUAL
from diagnose.symptom_graph.cautions import hazards_met

__all__ = [
    "WITHOUT_HANDS",
    "Asked",
    "answers",
    "can_look_at",
    "candidates",
    "find_card",
    "makes_sense",
    "options_for",
    "parts_of",
    "reporter_of",
    "rows_of",
    "with_not_sure",
]

#: whatever is asked, looked at or measured
Asked = Symptom | Check | Frame

_UNKNOWN = np.zeros((0, 0))

#: channels over which nobody of the shop sees or holds it
WITHOUT_HANDS = frozenset({"phone", "mail"})


def answers(compiled: Compiled, card: Asked, by: str, job: JobState) -> float:
    """Chance, 0..1, that who is asked can answer this one, or make this check here.

    What the card says is the usual; who could not say five times will hardly know the sixth.
    """
    checks, bench = compiled.knowledge.checks, job.at == "bench"

    def here(ask: str) -> bool:
        return (ask in checks and checks[ask].at == "bench") == bench

    unknown = [ask for ask in job.unsure | set(job.skipped) if here(ask)]
    told = {ask for ask, _ in job.reports if here(ask)}
    asked = [compiled.knowledge.symptoms.get(ask) or checks.get(ask) for ask in {*told, *unknown}]
    expected = sum(usually(compiled, c, _who(c)) for c in asked if c is not None)
    expected += 0 if bench else job.choices.unanswered
    share = usually(compiled, card, by) * (USUAL + len(told)) / (USUAL + expected)
    return min(share, 0.99)


def usually(compiled: Compiled, card: Asked, by: str) -> float:
    """Chance that people can answer this card, as it says itself, else the pack of its reporter."""
    knowledge = compiled.knowledge
    return knowledge.chance(card.known or knowledge.pack.reporters.known.get(by, 1.0))


def _who(card: Asked) -> str:
    return card.at if isinstance(card, Check) else "customer"


def can_look_at(check: Check, job: JobState) -> bool:
    """The shop has before it what this check looks at."""
    if job.channel in WITHOUT_HANDS:
        return False
    return job.channel == "bike_here" or not check.needs_bike


def find_card(compiled: Compiled, ident: str) -> Asked:
    """The symptom, check or frame question with this id; KeyError if there is none."""
    knowledge = compiled.knowledge
    cards: dict[str, Asked] = {**knowledge.symptoms, **knowledge.checks, **knowledge.frames}
    return cards[ident]


def rows_of(frame: Frame, open_cards: Collection[str]) -> list[FrameRow]:
    """The answers of a frame question that are still open."""
    return [row for row in frame.rows if row.ask in open_cards]


def reporter_of(knowledge: Knowledge, frame: Frame) -> Literal["customer", "counter"]:
    """Who answers a frame question: the customer, or the counter that looks."""
    return "customer" if frame.rows[0].ask in knowledge.symptoms else "counter"


def candidates(
    compiled: Compiled,
    job: JobState,
    items: Iterable[Item],
    *,
    trapped: set[str] | None,
    load: bool = True,
    fill: bool = True,
    shop_has: frozenset[str] | None = None,
) -> list[Symptom | Check]:
    """Cards that may come next.

    Parameters
    ----------
    trapped : checks that clear the standing signs, or None where no sign stands. load : it may be
    pressed and bounced. fill : it may be filled. shop_has : equipment of the shop, None:
    everything.
    """
    knowledge = compiled.knowledge
    items = list(items)
    # What was only heard may be asked: an answer says it more surely, and how much of it.
    told = {i.finding for i in items if i.by == "customer" and not i.words}
    seen = {i.finding for i in items if i.by != "customer"}
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
        if not makes_sense(compiled, check, job, items):
            continue
        if check.at == "bench" and counter:
            continue
        if check.at == "counter" and not can_look_at(check, job):
            continue
        if check.at == "counter" and seen.issuperset(check.findings):
            continue
        if shop_has is not None and not set(check.shop_needs) <= shop_has:
            continue
        if not load and device.loading & set(check.does):
            continue
        if not fill and device.filling & set(check.does):
            continue
        if trapped is not None and check.id not in trapped and _touches(compiled, check):
            continue
        result.append(check)
    return result


def makes_sense(compiled: Compiled, check: Check, job: JobState, items: Iterable[Item]) -> bool:
    """Nobody made it yet, the shock has what it looks at, and it is as the check needs it."""
    knowledge, items = compiled.knowledge, list(items)
    if check.id in job.dealt_with or not _applies(compiled, check, job):
        return False
    if not any(in_place(compiled, items, finding) for finding in check.findings):
        return False
    device = knowledge.device
    if device.unmet(check.needs, job.happened):
        return False
    if job.set_back and not device.may_lie_open(check.does):
        return False
    made = (knowledge.checks.get(ask) for ask, _ in job.reports)
    return not any(_outdone_by(better, check) for better in made if better is not None)


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
    accounts: Sequence[tuple[Evidence, Collection[str]]],
    job: JobState,
    money: Economics,
    spoken: Collection[str] = (),
) -> list[Option]:
    """Options with prices [currency] and the chance of each answer in each fault set.

    What a frame question asks for is open in that question and by itself.
    ``accounts``: of each account of the job its evidence and the findings that hide in it.
    ``spoken``: findings that the customer spoke of, so that silence in a frame denies none of them.
    """
    cards, passing = list(cards), compiled.knowledge.pack.comes_and_goes
    rate = money.counter_rate_per_minute if job.at == "counter" else money.rate_per_minute
    interruption = money.interruption.at(job.at)
    result = []
    for card in cards:
        by = _who(card)
        known = answers(compiled, card, by, job)
        act_price = card.act_minutes * rate if isinstance(card, Check) else 0.0
        option = Option(card.id, card.minutes * rate + interruption, _UNKNOWN, "", None, act_price)
        if isinstance(card, Check):
            spoils = frozenset(compiled.knowledge.device.spoils(card.does))
            option = replace(option, act=card.act, needs=frozenset(card.needs), spoils=spoils)
        # What tells of several findings is worth the most that it tells of one.
        for finding in card.findings:
            seen = card.model_copy(update={"observes": finding})
            chances = state_chances(compiled, finding, hypotheses, [e for e, _ in accounts])
            if isinstance(card, Check) and passing is not None:
                hides = np.array([finding in hidden for _, hidden in accounts])
                away = hides[hypotheses.account] * (1.0 - passing.brought_out.at(card.at))
                chances = chances * (1.0 - away[:, None])
                chances[:, 0] += away
            outcomes = chances @ report_table(compiled.knowledge, seen, by)
            result.append(
                replace(
                    option,
                    outcomes=with_not_sure(outcomes, known),
                    finding=finding,
                    about=tuple(other for other in card.findings if other != finding),
                    answers=(*compiled.states(finding), NOT_SURE),
                )
            )
    by_id: dict[str, Option] = {}
    for option in result:
        by_id.setdefault(option.id, option)
    for frame in compiled.knowledge.frames.values():
        by = reporter_of(compiled.knowledge, frame)
        alone = {
            ident: option
            for ident, option in by_id.items()
            if by != "customer" or option.finding not in spoken
        }
        rows = rows_of(frame, alone)
        if len({row.ask for row in rows}) > 1:
            known = answers(compiled, frame, by, job)
            price = frame.minutes * rate + interruption
            result.append(_framed(frame, rows, alone, price, known))
    return result


def with_not_sure(outcomes: Floats, known: float) -> Floats:
    """(sets, answers + 1) the same answers where they are known, and 'not sure' for the rest."""
    unknown = np.full((len(outcomes), 1), 1.0 - known)
    return np.hstack([known * outcomes, unknown])


def _framed(
    frame: Frame, rows: Sequence[FrameRow], alone: Mapping[str, Option], price: float, known: float
) -> Option:
    """A frame question as an option: none of its rows, or the one that is named first.

    A row is named as often as its symptom would be reported if it were asked for by itself; what
    several rows together tell beyond the first is left out.
    """
    chances = []
    for row in rows:
        option = alone[row.ask]
        told = option.outcomes[:, :-1] / option.outcomes[:, :-1].sum(axis=1, keepdims=True)
        chances.append(told[:, option.answers.index(row.state)])
    each = np.stack(chances, axis=1)
    nothing = np.prod(1.0 - each, axis=1, keepdims=True)
    named = each / np.maximum(each.sum(axis=1, keepdims=True), 1e-300) * (1.0 - nothing)
    names = (NONE, *(f"{row.ask}={row.state}" for row in rows), NOT_SURE)
    findings = tuple(dict.fromkeys(alone[row.ask].finding for row in rows))
    outcomes = with_not_sure(np.hstack([nothing, named]), known)
    return Option(frame.id, price, outcomes, findings[0], about=findings[1:], answers=names)


def state_chances(
    compiled: Compiled,
    finding: str,
    hypotheses: Hypotheses,
    evidence: Sequence[Evidence],
) -> Floats:
    """(sets, states) chance of each state of a finding in each set, after its own evidence.

    ``evidence``: that of each account of the job.
    """
    f = compiled.network.finding_index[finding]
    start, end = compiled.network.state_offsets[f : f + 2]
    chances = hypotheses.chances[:, int(start) : int(end)]
    if not any(f in each for each in evidence):
        return chances
    nothing = np.ones(int(end - start))
    chances = chances * np.stack([e.get(f, nothing) for e in evidence])[hypotheses.account]
    result: Floats = chances / np.maximum(chances.sum(axis=1, keepdims=True), 1e-300)
    return result
