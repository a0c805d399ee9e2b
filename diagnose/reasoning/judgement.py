"""The one Judgement that screen, paper and JSON show.

Rules
-----
- Everything in it follows from knowledge and job; the same job gives the same bytes.
- Numbers are rounded here once, so that no two doors show different ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict

from diagnose.belief.compiled import UNLISTED
from diagnose.job.measuring import wanted_readings
from diagnose.knowledge.models import Caution, Check, Stage
from diagnose.reasoning.options import find_card
from diagnose.reasoning.reasoner import SURE, Reasoner, View
from diagnose.symptom_graph.cautions import (
    cautions_of,
    hazards_met,
    hazards_now,
    required_cautions,
    sort_cautions,
)
from diagnose.symptom_graph.routes import sheet_hazards

__all__ = [
    "SCHEMA_VERSION",
    "SURPRISING",
    "CauseLine",
    "CautionLine",
    "Judgement",
    "NextStep",
    "StageLine",
    "Surprise",
    "SymptomLine",
    "caution_text",
    "judge",
]

SCHEMA_VERSION = 1

#: chance from which a stage counts as plausible when an inspection is booked
_PLAUSIBLE = 0.08
#: probability from which a cause is kept with the job
_KEPT = 0.005
#: conflict (log10) from which the answers are said not to fit one another
SURPRISING = 0.7

#: signal words of what a whole plan can meet; the lesser ones stand before their steps
_GRAVE = frozenset({"DANGER", "WARNING"})

#: largest error of a posterior that is not worth a word
SETTLED = 1e-3


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class SymptomLine(_Part):
    """What counts as known of one finding and how sure; ``by`` says who reported it."""

    id: str
    state: str
    how_sure: float
    by: str
    words: str = ""
    denied: bool = False
    text: str = ""


class CauseLine(_Part):
    id: str
    name: str
    probability: float
    plain: str = ""


class StageLine(_Part):
    """One outcome of the plan. ``cures``: chance that the whole plan cures every present cause."""

    id: str
    name: str
    cures: float
    expected_cost: float
    currency: str
    minutes: float
    parts: float
    kit: list[str]
    reason: str


class CautionLine(_Part):
    """A caution.

    ``again``: read whole in this visit, so that `said` is its first sentence. ``outside``: meets
    whoever rides, carries or posts the shock, and not only whoever works on it.
    """

    id: str
    signal_word: str
    text: str
    again: bool = False
    outside: bool = False

    @property
    def said(self) -> str:
        """What stands before the step: the whole text, or again its first sentence."""
        return self.text.partition(". ")[0] + "." if self.again else self.text


class FloorLine(_Part):
    """What stands whatever is believed: the finding, who reported it, what it forbids, what lifts
    it.
    """

    finding: str
    name: str
    state: str
    by: str
    id: str
    ride: str
    forbids: list[str]
    lifted_by: list[str]
    why: str


class AnswerLine(_Part):
    key: str
    state: str
    text: str
    means: str = ""


class ReadingLine(_Part):
    name: str
    text: str
    unit: str
    optional: bool = False


class NextStep(_Part):
    """What to do next. ``why`` says what it is worth."""

    kind: Literal["ask", "check", "book_inspection", "done"]
    id: str | None = None
    question: str = ""
    answers: list[AnswerLine] = []
    readings: list[ReadingLine] = []
    steps: list[str] = []
    minutes: float = 0.0
    cautions: list[CautionLine] = []
    why: str = ""


class Surprise(_Part):
    """How badly the answers fit one another (log10 of the conflict), and the likeliest misfits."""

    value: float
    suspects: list[str]


class Range(_Part):
    """Lowest and highest plausible outcome, and the price not to pass without a call."""

    lowest: str
    highest: str
    call_before: float
    currency: str


class Judgement(_Part):
    """Everything that is said of a job."""

    schema_version: int = SCHEMA_VERSION
    knowledge: str
    pack: str
    at: str
    symptoms: list[SymptomLine]
    causes: list[CauseLine]
    no_fault: float
    stage: StageLine
    also_stages: list[StageLine]
    range: Range
    ride: Literal["ride", "ride_gently", "stop_riding"]
    ride_reason: str
    floors: list[FloorLine]
    cautions: list[CautionLine]
    next_step: NextStep
    would_change: list[str]
    surprise: Surprise
    sure_enough: bool
    warnings: list[str]

    @property
    def shut(self) -> bool:
        """A sign forbids opening; the outcomes beside it are for once it is cleared."""
        return any("open" in floor.forbids for floor in self.floors)

    def kept(self) -> dict[str, Any]:
        """What a job keeps of it: all that was said, less the causes hardly believed and the
        texts of the next step, which stay with the knowledge whose fingerprint is kept.
        """
        said = self.model_dump(mode="json")
        said["causes"] = [
            {"id": c.id, "name": c.name, "probability": c.probability}
            for c in self.causes
            if c.probability >= _KEPT
        ]
        said["next_step"] = {"kind": self.next_step.kind, "id": self.next_step.id}
        return said


def caution_text(card: Caution) -> str:
    """Hazard, consequence and avoidance as one text, whole."""
    return f"{card.hazard} {card.consequence} {card.avoidance}"


def caution_lines(
    cards: Iterable[Caution], read: frozenset[str] = frozenset()
) -> list[CautionLine]:
    """Cautions as they are shown everywhere. ``read``: those read whole in this visit."""
    return [
        CautionLine(
            id=card.id,
            signal_word=card.signal_word,
            text=caution_text(card),
            again=card.id in read,
        )
        for card in cards
    ]


def judge(reasoner: Reasoner, view: View, warnings: Iterable[str] = ()) -> Judgement:
    """Put a view into words and rounded numbers."""
    stage, also = _stages(reasoner, view)
    return Judgement(
        knowledge=reasoner.knowledge.fingerprint,
        pack=reasoner.knowledge.pack.id,
        at=view.job.at,
        symptoms=_symptoms(reasoner, view),
        causes=_causes(reasoner, view),
        no_fault=round(view.no_fault, 4),
        stage=stage,
        also_stages=also,
        range=_range(reasoner, view),
        ride=view.ride.verdict,  # type: ignore[arg-type]
        ride_reason=view.ride.reason,
        floors=_floors(reasoner, view),
        cautions=_cautions(reasoner, view),
        next_step=next_step(reasoner, view),
        would_change=would_change(reasoner, view),
        surprise=Surprise(
            value=round(view.surprise, 3),
            suspects=view.suspects if view.surprise >= SURPRISING else [],
        ),
        sure_enough=_sure(view),
        warnings=[*warnings, *_reading_warnings(view), *_unsettled(view)],
    )


def _reading_warnings(view: View) -> list[str]:
    taken = {item.ask for item in view.items}
    return [
        f"{item.ask}: {text}"
        for item in view.items
        if item.quantity is not None
        for text in item.quantity.warnings
    ] + [
        f"{report.ask}: these readings cannot be, and say nothing; take them again."
        for report in view.job.reports.values()
        if report.readings and report.ask not in taken
    ]


def _unsettled(view: View) -> list[str]:
    """Said where the sum over all faults could not be settled to a thousandth."""
    if view.slack <= SETTLED:
        return []
    return [
        "so many answers speak at once that each chance shown may be off by up to "
        f"{view.slack:.1%}; the verdict leans to the cautious side."
    ]


def _floors(reasoner: Reasoner, view: View) -> list[FloorLine]:
    findings = reasoner.knowledge.findings
    return [
        FloorLine(
            finding=standing.floor.finding,
            name=findings[standing.floor.finding].name,
            state=standing.claim.state,
            by=standing.claim.by,
            id=standing.claim.ask,
            ride=standing.floor.ride,
            forbids=list(standing.floor.forbids),
            lifted_by=list(standing.lifts),
            why=standing.floor.why,
        )
        for standing in view.floors
    ]


def _symptoms(reasoner: Reasoner, view: View) -> list[SymptomLine]:
    lines = []
    for item in view.items:
        states = reasoner.compiled.states(item.finding)
        card = reasoner.card(item.ask)
        text = next((a.text for a in card.answers if a.state == item.state), item.state)
        share = float(item.likelihood[states.index(item.state)] / item.likelihood.sum())
        lines.append(
            SymptomLine(
                id=item.ask,
                state=item.state,
                how_sure=round(item.certainty if item.words else share, 3),
                by=item.by,
                words=item.words,
                denied=bool(item.words) and item.state == states[0],
                text=text,
            )
        )
    return lines


def _causes(reasoner: Reasoner, view: View) -> list[CauseLine]:
    lines = []
    for ident, chance in view.causes.items():
        if ident == UNLISTED:
            name, plain = "none of these", "something that we have no card for"
        else:
            card = reasoner.knowledge.causes[ident]
            name, plain = card.name, card.plain
        lines.append(CauseLine(id=ident, name=name, probability=round(chance, 6), plain=plain))
    return lines


def _sure(view: View) -> bool:
    return not view.signs and float(view.cured[view.plan]) >= SURE


def _stages(reasoner: Reasoner, view: View) -> tuple[StageLine, list[StageLine]]:
    plan = reasoner.plan(view)
    lines = [_stage_line(reasoner, view, stage) for stage in plan.stages]
    if view.signs:
        return _do_not_open(reasoner, view), lines
    return lines[0], lines[1:]


def _stage_line(reasoner: Reasoner, view: View, stage: str) -> StageLine:
    model, knowledge = reasoner.cost_model, reasoner.knowledge
    card = knowledge.stages[stage]
    meant = [
        (chance, cause)
        for cause, chance in view.causes.items()
        if cause != UNLISTED and chance >= 0.05 and model.meant_for(cause, stage)
    ]
    shut = reasoner.plan(view).shut
    minutes, parts = model.stage_work(stage, view.hypotheses.present, shut)
    fits = view.hypotheses.weights * model.fits(stage, view.hypotheses.present)
    if fits.sum() > 0.0:
        minutes_now = float(fits @ minutes / fits.sum())
        parts_now = float(fits @ parts / fits.sum())
    else:
        minutes_now, parts_now = card.minutes + card.opening_minutes, card.parts
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
        cures=round(float(view.cured[view.plan]), 4),
        expected_cost=round(float(view.costs[view.plan]), 2),
        currency=reasoner.money.currency,
        minutes=round(minutes_now, 0),
        parts=round(parts_now, 2),
        kit=list(dict.fromkeys(kit)),
        reason=reason,
    )


def _do_not_open(reasoner: Reasoner, view: View) -> StageLine:
    card = reasoner.knowledge.stages[reasoner.knowledge.device.stages.shut]
    sign = view.signs[0]
    cards = [reasoner.knowledge.checks[c] for c in sign.lifts]
    checks = [check.name for check in cards if check.at == "bench"]
    return StageLine(
        id=card.id,
        name=card.name,
        cures=0.0,
        expected_cost=round(card.minutes * reasoner.money.rate_per_minute, 2),
        currency=reasoner.money.currency,
        minutes=card.minutes,
        parts=card.parts,
        kit=list(card.kit),
        reason=f"{sign.floor.why}. Cleared only at the bench by: {', '.join(checks)}.",
    )


def _range(reasoner: Reasoner, view: View) -> Range:
    """Outcomes that are plausible now, and the cost of the dearest of them."""
    model, knowledge = reasoner.cost_model, reasoner.knowledge
    shares: dict[str, float] = {}
    minutes_parts: dict[str, float] = {}
    needed = model.needed_stages(view.hypotheses.present)
    right = model.right_plans(view.hypotheses.present)
    price = model.prices(view.hypotheses.present)
    for row, stage in enumerate(needed):
        weight = float(view.hypotheses.weights[row])
        shares[stage] = shares.get(stage, 0.0) + weight
        minutes_parts[stage] = minutes_parts.get(stage, 0.0) + weight * float(
            price[row, right[row]]
        )
    plausible = [s for s, share in shares.items() if share >= _PLAUSIBLE] or [
        reasoner.plan(view).stages[0]
    ]
    plausible.sort(key=lambda s: knowledge.stages[s].rank)
    dearest = max(minutes_parts.get(s, 0.0) / shares.get(s, 1.0) for s in plausible)
    return Range(
        lowest=plausible[0],
        highest=plausible[-1],
        call_before=round(dearest * 1.15, -1) or 10.0,
        currency=reasoner.money.currency,
    )


def _cautions(reasoner: Reasoner, view: View) -> list[CautionLine]:
    """Section messages, gravest first after the first words: what riding, carrying or posting it
    meets, and all grave things that the plan's sheets, or the pressure that the next check, can
    meet. The lesser ones stand before their steps.
    """
    knowledge, chambers = reasoner.knowledge, view.job.chambers(reasoner.knowledge.device)
    plan = [knowledge.device.stages.shut] if view.signs else reasoner.plan(view).stages
    hazards = _outside_hazards(reasoner, view, [knowledge.stages[stage] for stage in plan])
    outside = {*view.first_words, *(card.id for card in cautions_of(knowledge, hazards))}
    for stage in plan:
        hazards += sheet_hazards(knowledge, knowledge.stages[stage], chambers)
    ahead = view.options[view.advice.option].id if view.advice.option is not None else ""
    if ahead in knowledge.checks:
        met = hazards_met(knowledge, knowledge.checks[ahead].does, chambers)
        hazards += [hazard for hazard in met if knowledge.hazards[hazard].chambers]
    cards = [c for c in cautions_of(knowledge, hazards) if c.signal_word in _GRAVE]
    lead = sort_cautions(knowledge, view.first_words)
    lines = caution_lines([*lead, *(card for card in cards if card not in lead)])
    return [line.model_copy(update={"outside": line.id in outside}) for line in lines]


def _outside_hazards(reasoner: Reasoner, view: View, plan: Sequence[Stage]) -> list[str]:
    """What meets whoever rides, carries or posts it: hazards of likely causes, of what was found,
    and the pressure in what the plan opens.
    """
    knowledge, device = reasoner.knowledge, reasoner.knowledge.device
    chambers = view.job.chambers(device)
    found = {i.finding for i in view.items if i.state != reasoner.compiled.states(i.finding)[0]}
    hazards = [h.id for h in knowledge.hazards.values() if found & set(h.findings)]
    hazards += [
        h
        for cause, chance in view.causes.items()
        if cause != UNLISTED and chance >= 0.15
        for h in knowledge.causes[cause].hazards
        if knowledge.causes[cause].ride.verdict != "ride"
    ]
    fails = device.load_hazard
    if fails is not None and view.ride.verdict == "stop_riding" and _likely(view, reasoner, fails):
        hazards.append(fails)
    if view.signs:
        hazards += hazards_met(knowledge, device.handing_on, chambers)
    opened = {chamber for stage in plan for chamber in stage.opens[:1]}
    hazards += [
        h.id for h in knowledge.hazards.values() if h.acknowledge and opened & set(h.chambers)
    ]
    return hazards_now(knowledge, hazards, chambers)


def _likely(view: View, reasoner: Reasoner, hazard: str) -> bool:
    """A cause that brings this hazard is believed in."""
    knowledge = reasoner.knowledge
    return any(
        hazard in knowledge.causes[c].hazards
        for c, chance in view.causes.items()
        if c != UNLISTED and chance >= 0.1
    )


def next_step(reasoner: Reasoner, view: View) -> NextStep:
    """The best question or check, or why there is none."""
    job = view.job
    if job.closed is not None:
        return NextStep(kind="done", why="the job is closed")
    if view.advice.option is not None and not job.booked:
        option = view.options[view.advice.option]
        return step_of(reasoner, view, option.id, _worth(reasoner, view))
    if job.at == "counter":
        if _sure(view) and not job.booked and _cheap(reasoner, view):
            return NextStep(kind="done", why="no question would change the call")
        why = (
            "a sign of trapped gas stands, and only the bench can clear it"
            if view.signs
            else "no question is worth the customer's time; the bench finds out"
        )
        return NextStep(kind="book_inspection", why=why)
    if view.signs:
        return NextStep(kind="done", why="a sign of trapped gas stands: do not open")
    if _sure(view):
        return NextStep(kind="done", why="sure enough to open")
    return NextStep(kind="done", why="no check left is worth its minutes")


def _cheap(reasoner: Reasoner, view: View) -> bool:
    """The plan opens nothing, so that it needs no confirmation at the bench."""
    return all(not reasoner.knowledge.stages[s].opens for s in reasoner.plan(view).stages)


def _worth(reasoner: Reasoner, view: View) -> str:
    money = reasoner.money.currency
    return f"saves about {view.advice.saving:.1f} {money} of wrong work on average"


def step_of(reasoner: Reasoner, view: View, ident: str, worth: str = "") -> NextStep:
    """A question or check as a step, cautions first."""
    card = find_card(reasoner.compiled, ident)
    answers = [
        AnswerLine(key=str(n), state=a.state, text=a.text, means=a.means)
        for n, a in enumerate(card.answers, 1)
    ]
    why = " ".join(x for x in (card.why, f"({worth})" if worth else "") if x)
    if not isinstance(card, Check):
        return NextStep(
            kind="ask",
            id=ident,
            question=card.question,
            answers=answers,
            why=why,
            minutes=card.minutes,
        )
    chambers = view.job.chambers(reasoner.knowledge.device)
    cautions = required_cautions(reasoner.knowledge, card.does, chambers)
    readings = [
        ReadingLine(name=r.name, text=r.text, unit=r.unit, optional=r.optional)
        for r in wanted_readings(card)
    ]
    return NextStep(
        kind="check",
        id=ident,
        question=card.question,
        answers=answers,
        readings=readings,
        steps=card.steps,
        minutes=card.minutes,
        cautions=caution_lines(cautions),
        why=why,
    )


def would_change(reasoner: Reasoner, view: View, least: float = 0.05) -> list[str]:
    """Single answers, not too unlikely, that would change the plan."""
    model = reasoner.cost_model
    costs = model.costs(view.hypotheses.present)
    weights = view.hypotheses.weights
    rows: list[tuple[float, str]] = []
    for option in view.options:
        card = find_card(reasoner.compiled, option.id)
        states = reasoner.compiled.states(card.observes)
        for a in range(option.outcomes.shape[1]):
            branch = weights * option.outcomes[:, a]
            chance = float(branch.sum())
            if chance < least:
                continue
            best = int(np.argmin(branch @ costs))
            if model.plans[best].stages == model.plans[view.plan].stages:
                continue
            gain = float((branch @ costs)[view.plan] - (branch @ costs)[best])
            text = next((x.text for x in card.answers if x.state == states[a]), states[a])
            plan = " + ".join(reasoner.knowledge.stages[s].name for s in model.plans[best].stages)
            rows.append((gain, f"{card.name}: {text} -> {plan}"))
    rows.sort(key=lambda row: (-row[0], row[1]))
    return [text for _, text in rows[:3]]
