"""Reports and readings of a job become one likelihood for each finding.

Rules
-----
- The customer is one reporter: what the complaint says counts only where the customer was not
  asked, or did not know.
- Each check is a source of its own; different sources are independent given the true state.
- Not sure says nothing: what was said plainly stands, and words that only may mean it say nothing
  (`hearing.counts`), nor where they were not confirmed. Silence says
  something only of what nobody leaves out (`brought_up`), until somebody speaks of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.network import Floats
from diagnose.belief.reports import (
    paced_likelihood,
    report_table,
    spread_likelihood,
    text_likelihood,
)
from diagnose.complaint.recogniser import Heard, Understanding
from diagnose.errors import InputError
from diagnose.job.measuring import Measure, Quantity
from diagnose.job.state import JobState, Report
from diagnose.knowledge.models import Check, ReadingModel, Symptom, reports_of

__all__ = [
    "CLEARLY",
    "Item",
    "answer_of",
    "combine",
    "gather",
    "measured_likelihood",
    "product",
    "reported",
    "unsaid",
]

#: a report is clear where every other state is at most this likely beside the one it names
CLEARLY = 0.5


@dataclass(frozen=True)
class Item:
    """One piece of evidence.

    ``state`` is the reported state, or the likeliest one that a reading tells from the healthy one.
    ``likelihood``: (states,).
    ``words``: what the customer said, for evidence from the complaint; ``outdone_by``: the look or
    reading that speaks against them. ``epoch``: number of physical events before it.
    """

    finding: str
    ask: str
    by: str
    state: str
    likelihood: Floats
    certainty: float = 1.0
    words: str = ""
    outdone_by: str = ""
    quantity: Quantity | None = None
    epoch: int = 0


def gather(compiled: Compiled, job: JobState, heard: Understanding, measure: Measure) -> list[Item]:
    """All evidence of a job, in the order in which it came.

    Readings were computed once when they were given (`check_readings`); what an earlier version
    took and this one refuses says nothing.
    """
    knowledge = compiled.knowledge
    items: dict[tuple[str, str], Item] = {}
    for said in heard.heard:
        doubtful = said.symptom in job.unsure and said.certainty < knowledge.pack.hearing.plain
        if said.symptom in job.struck or doubtful:
            continue  # misheard, or not confirmed when it was asked: a floor may stand on it still
        if said.certainty < knowledge.pack.hearing.counts and not job.confirmed:
            continue
        card = knowledge.symptoms[said.symptom]
        states = compiled.states(card.observes)
        table = report_table(knowledge, card, "customer", unasked=True)
        prior = compiled.prior_states[card.observes]
        shares = _shares(said, states)
        likelihood = np.zeros(len(states))
        for s, share in enumerate(shares):
            if share > 0.0:
                likelihood += share * text_likelihood(table, s, said.certainty, prior)
        items[card.observes, "customer"] = Item(
            card.observes,
            card.id,
            "customer",
            said.state,
            likelihood,
            said.certainty,
            said.words,
        )
    for report in job.reports.values():
        source = "customer" if report.by == "customer" else f"{report.by}:{report.ask}"
        says = reported(compiled, report, job, measure)
        for n, item in enumerate(says):
            of = source if n == 0 else f"{source}:beside"
            items.pop((item.finding, of), None)
            items[item.finding, of] = item
    return list(items.values())


def reported(compiled: Compiled, report: Report, job: JobState, measure: Measure) -> list[Item]:
    """What one report says: of what it was for, of what else follows from its readings, and of the
    marked maximum where a gauge was read.

    Nothing where the card is gone (an old job under newer knowledge) or the readings cannot be.
    """
    card = compiled.knowledge.symptoms.get(report.ask) or compiled.knowledge.checks.get(report.ask)
    if card is None:
        return []
    if not report.readings:
        return _answered(compiled, card, report)
    try:
        item = _measured(compiled, card, report, job, measure)
    except InputError:
        return []
    if item is None:
        return []
    over = _over_maximum(compiled, item)
    also = _consequences(compiled, card, item)
    return [
        item,
        *(c for c in also if over is None or c.finding != over.finding),
        *filter(None, [over]),
    ]


def unsaid(compiled: Compiled, job: JobState, items: Iterable[Item]) -> dict[int, Floats]:
    """Finding index -> (states,) likelihood that a customer who told what is wrong left it out."""
    if not job.complaint.strip():
        return {}
    spoken = {item.finding for item in items}
    result = {}
    for card in compiled.knowledge.symptoms.values():
        if card.brought_up is not None and card.observes not in spoken:
            silent = np.full(len(compiled.states(card.observes)), 1.0)
            silent[1:] -= compiled.knowledge.chance(card.brought_up)
            result[compiled.network.finding_index[card.observes]] = silent
    return result


def answer_of(items: Iterable[Item], item: Item, card: Symptom | Check) -> str:
    """The answer that says what one report says of all findings that its card speaks of.

    Readings name a state of each; where no answer says just these, that of the item itself.
    """
    about = card.findings
    said = {i.finding: i.state for i in items if (i.ask, i.by) == (item.ask, item.by)}
    told = {finding: said[finding] for finding in about if finding in said}
    fitting = (a.state for a in card.answers if reports_of(card, a.state).items() <= told.items())
    return next(fitting, item.state) if len(about) > 1 and item.finding in about else item.state


def _shares(said: Heard, states: list[str]) -> list[float]:
    """How the certainty is spread over the states on the side that was heard, well or not."""
    heard = states.index(said.state)
    if not said.shares:
        return [float(s == heard) for s in range(len(states))]
    side = [share if (s == 0) == (heard == 0) else 0.0 for s, share in enumerate(said.shares)]
    return [share / sum(side) for share in side]


def _answered(compiled: Compiled, card: Symptom | Check, report: Report) -> list[Item]:
    """What an answer says of each finding that it speaks of."""
    made = []
    for finding, state in reports_of(card, report.state).items():
        table = report_table(compiled.knowledge, card, report.by, finding=finding)
        likelihood = table[:, compiled.states(finding).index(state)]
        made.append(Item(finding, card.id, report.by, state, likelihood, epoch=report.epoch))
    return made


def _measured(
    compiled: Compiled, card: Symptom | Check, report: Report, job: JobState, measure: Measure
) -> Item | None:
    """What readings say of what the check observes; None where today's card reads nothing."""
    if not isinstance(card, Check) or card.reading is None:
        return None
    states = compiled.states(card.observes)
    quantity = measure(card, report.readings, job)
    misread = compiled.knowledge.pack.reporters.misread
    read = measured_likelihood(card.reading, quantity, states, misread)
    likelihood = _limited(compiled, card.observes, quantity, read)
    # Of what is read against the clock healthy ones do not differ by what a gauge shows.
    healthy = card.reading.states[states[0]].sd if card.reading.shows is None else 0.0
    coarse = likelihood is read and quantity.uncertainty > healthy
    state = _named(states, likelihood, coarse)
    return Item(
        card.observes,
        card.id,
        report.by,
        state,
        likelihood / likelihood.max(),
        quantity=quantity,
        epoch=report.epoch,
    )


def measured_likelihood(
    reading: ReadingModel, quantity: Quantity, states: list[str], misread: float
) -> Floats:
    """Likelihood of the states of what a measuring check observes, largest 1, floored at misread.

    Against the clock by the rates, else by the better value where the readings gave it.
    """
    if reading.shows is not None:
        assert quantity.response is not None, (
            f"{reading.quantity}: read once, it answers to no rate"
        )
        return paced_likelihood(
            quantity.value,
            quantity.uncertainty,
            reading.rates,
            states,
            quantity.response,
            misread,
        )
    value, spreads = (quantity.value, quantity.uncertainty), reading.states
    if reading.instead is not None and reading.instead.value in quantity.further:
        value, spreads = quantity.further[reading.instead.value], reading.instead.states
    return spread_likelihood(*value, spreads, states, misread)


def _consequences(compiled: Compiled, card: Symptom | Check, item: Item) -> list[Item]:
    """What the readings say of other findings than the check was for."""
    if item.quantity is None or not isinstance(card, Check) or card.reading is None:
        return []
    made = []
    for said in card.reading.also:
        value = (item.quantity.value, item.quantity.uncertainty)
        if said.value is not None:
            if said.value not in item.quantity.further:
                continue
            value = item.quantity.further[said.value]
        states = compiled.states(said.finding)
        misread = compiled.knowledge.pack.reporters.misread
        likelihood = spread_likelihood(*value, said.states, states, misread)
        state = _named(states, likelihood, value[1] > said.states[states[0]].sd)
        made.append(
            replace(item, finding=said.finding, state=state, likelihood=likelihood, quantity=None)
        )
    return made


def _named(states: list[str], likelihood: Floats, coarse: bool) -> str:
    """The state that a reading names: the likeliest.

    What is read no finer than healthy ones differ accuses nobody of what it does not tell from the
    healthy state.
    """
    return states[0 if coarse and likelihood[0] > CLEARLY else int(np.argmax(likelihood))]


def _limited(compiled: Compiled, finding: str, quantity: Quantity, likelihood: Floats) -> Floats:
    """A likelihood with the marked maximum taken in, where it bears on the finding and is known.

    Above the maximum is what the mark says, however much that is of the usual pressure: the reading
    decides among the other states.
    """
    over, chance = compiled.knowledge.pack.over_maximum, quantity.over_maximum
    if over is None or chance is None or over.finding != finding:
        return likelihood
    states = compiled.states(finding)
    misread = compiled.knowledge.pack.reporters.misread
    chance = min(max(chance, misread), 1.0 - misread)
    above = np.arange(len(states)) >= states.index(over.state)
    limited: Floats = np.where(above, chance * likelihood.max(), (1.0 - chance) * likelihood)
    return limited


def _over_maximum(compiled: Compiled, item: Item) -> Item | None:
    """A gauge above the marked maximum, read for another purpose."""
    over, quantity = compiled.knowledge.pack.over_maximum, item.quantity
    if over is None or quantity is None or item.finding == over.finding:
        return None
    if quantity.over_maximum is None or quantity.over_maximum <= 0.5:
        return None
    nothing = np.ones(len(compiled.states(over.finding)))
    likelihood = _limited(compiled, over.finding, quantity, nothing)
    return replace(
        item, finding=over.finding, state=over.state, likelihood=likelihood, quantity=None
    )


def product(compiled: Compiled, items: Iterable[Item]) -> dict[int, Floats]:
    """Finding index -> (states,) product of the likelihoods, each tempered by who said it.

    What one person tells shares his errors: his story, his ear, his theory. Taken as independent it
    would be believed too far (power likelihood; Grunwald 2012, *The safe Bayesian*, ALT).
    """
    shared = compiled.knowledge.pack.reporters.shared
    result: dict[int, Floats] = {}
    for item in items:
        f = compiled.network.finding_index[item.finding]
        power = shared.get("heard" if item.words else item.by, 1.0)
        result[f] = result.get(f, 1.0) * item.likelihood**power
    return result


def combine(compiled: Compiled, items: Iterable[Item]) -> dict[int, Floats]:
    """Evidence for the belief: as `product`, largest entry 1."""
    return {f: whole / whole.max() for f, whole in product(compiled, items).items()}
