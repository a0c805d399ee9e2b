"""Answers of one case: what is written in it, and for all else a world that fits its truth.

Rules
-----
- A written answer is given as written. It also fixes the state of its finding, the bench before
  the counter before the customer, so that everything drawn agrees with it.
- Everything is drawn from the case's seed and the name of what is drawn, never from the order of
  asking: whoever plays the same case meets the same shock, whichever way they go.
- Asked again, everybody says the same again.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.network import Floats
from diagnose.belief.reports import report_table
from diagnose.bench import formulas
from diagnose.bench.waiting import hours_to_show
from diagnose.errors import DiagnoseError
from diagnose.job.events import NOT_SURE, Answered, Event, Measured
from diagnose.job.job_file import answer_events
from diagnose.job.measuring import measure_check
from diagnose.job.state import JobState, Report
from diagnose.knowledge.models import (
    Check,
    Floor,
    ReadingModel,
    Symptom,
    reports_of,
)
from diagnose.reasoning.evidence import Item, reported
from diagnose.symptom_graph.routes import signs_of
from diagnose.training.instruments import answering, shown
from diagnose.training.scenario import Scenario

__all__ = ["Answers", "Said"]

#: share of its state's spread that an instrument adds of its own
_SCATTER = 0.25


@dataclass(frozen=True)
class Said:
    """One answer: the event that it adds to the job, and its words for the person who asked."""

    event: Event
    text: str


class Answers:
    """Everybody and everything that can be asked in one case.

    Parameters
    ----------
    job : the shock as it came in, for readings that need its data.
    """

    def __init__(self, compiled: Compiled, scenario: Scenario, job: JobState) -> None:
        self._compiled = compiled
        self._scenario = scenario
        self._job = job
        present = np.array([[cause in scenario.truth for cause in compiled.causes]])
        self._chances = compiled.network.state_chances(present)[0]
        self._fixed = self._written_states()
        self._said: dict[str, Said] = {}

    def ask(self, card: Symptom | Check) -> Said:
        """The answer to one question or check."""
        if card.id not in self._said:
            self._said[card.id] = self._written(card) or self._drawn(card)
        return self._said[card.id]

    def state_of(self, finding: str) -> str:
        """The true state of a finding in this case."""
        if finding not in self._fixed:
            network = self._compiled.network
            f = network.finding_index[finding]
            chances = self._chances[network.state_offsets[f] : network.state_offsets[f + 1]]
            states = self._compiled.states(finding)
            self._fixed[finding] = states[self._draw(f"state:{finding}", chances)]
        return self._fixed[finding]

    def standing(self) -> list[Floor]:
        """Signs of trapped gas that truly stand in this case, seen or not."""
        return [
            floor
            for floor in self._compiled.knowledge.floors
            if "open" in floor.forbids
            and self.state_of(floor.finding) in self._compiled.knowledge.states_of(floor)
        ]

    # what is written ---------------------------------------------------------------------------

    def _written_states(self) -> dict[str, str]:
        knowledge = self._compiled.knowledge
        fixed: dict[str, str] = {}
        words = {a: v for a, v in self._scenario.counter.items() if a in knowledge.symptoms}
        looks = {a: v for a, v in self._scenario.counter.items() if a in knowledge.checks}
        for answers in (words, looks, self._scenario.bench):
            for ask, value in answers.items():
                card = knowledge.symptoms.get(ask) or knowledge.checks[ask]
                about = card.findings
                for item in self._told(card, value):
                    if item.finding in about:
                        fixed[item.finding] = item.state
        return fixed

    def _told(self, card: Symptom | Check, value: object) -> list[Item]:
        """What a written answer says of findings."""
        said = self._event(card, value)
        report = Report(0, card.id, getattr(said, "by", "bench"))
        if isinstance(said, Measured):
            report = replace(report, readings=said.readings)
        elif isinstance(said, Answered) and said.state != NOT_SURE:
            report = replace(report, state=said.state)
        else:
            return []
        return reported(self._compiled, report, self._job, measure_check)

    def _event(self, card: Symptom | Check, value: object) -> Event:
        return answer_events(card.id, value, self._compiled.knowledge, "bench")[0]

    def _written(self, card: Symptom | Check) -> Said | None:
        value = self._scenario.counter.get(card.id, self._scenario.bench.get(card.id))
        if value is None or value == NOT_SURE:
            return None
        event = self._event(card, value)
        if isinstance(event, Measured):
            return self._measured(card, event.readings)
        return Said(event, _text_of(card, getattr(event, "state", "")))

    def _measured(self, card: Symptom | Check, readings: Mapping[str, str]) -> Said | None:
        """Readings as evidence, or nothing where this shock's data do not allow to compute them."""
        if not isinstance(card, Check) or card.reading is None or not readings:
            return None
        try:
            amount = measure_check(card, readings, self._job)
        except DiagnoseError:
            return None
        names = {r.name: r.text for r in formulas.measurable(card.reading.quantity).readings}
        words = "; ".join(f"{names[name]}: {text}" for name, text in readings.items())
        unit = "" if amount.unit in ("1", "x") else f" {amount.unit}"
        what = formulas.measurable(card.reading.quantity).text
        total = f"{what} {amount.value:.2g}{unit}, give or take {amount.uncertainty:.1g}{unit}"
        event = Measured(ask=card.id, readings=dict(readings), by=card.at)
        return Said(event, f"{words}. {total[0].upper()}{total[1:]}.")

    # what is drawn -----------------------------------------------------------------------------

    def _drawn(self, card: Symptom | Check) -> Said:
        if isinstance(card, Check) and card.reading is not None:
            if not self._readable(card):
                event = Answered(ask=card.id, state=NOT_SURE, by=card.at)
                return Said(event, "It does not stand as this check needs it: nothing to read.")
            said = self._measured(card, self._readings(card, card.reading))
            if said is not None:
                return said
        by = card.at if isinstance(card, Check) else "customer"
        seen = {finding: self._seen(card, by, finding) for finding in card.findings}
        # An answer speaks of all that was seen, or else of the most of it.
        state = max(
            (answer.state for answer in card.answers),
            key=lambda state: len(reports_of(card, state).items() & seen.items()),
        )
        return Said(Answered(ask=card.id, state=state, by=by), _text_of(card, state))

    def _seen(self, card: Symptom | Check, by: str, finding: str) -> str:
        """The state in which a reporter sees a finding."""
        states = self._compiled.states(finding)
        table = report_table(self._compiled.knowledge, card, by, finding=finding)
        name = f"report:{by}:{card.id}"
        name = name if finding == card.observes else f"{name}:{finding}"
        return states[self._draw(name, table[states.index(self.state_of(finding))])]

    def _readable(self, check: Check) -> bool:
        """Whether there is anything to read: what belongs to a sign is only there with it."""
        knowledge = self._compiled.knowledge
        if check.observes not in signs_of(knowledge):
            return True
        links = {
            f
            for c in self._scenario.truth
            if c in knowledge.causes
            for f in knowledge.causes[c].links
        }
        healthy = self._compiled.states(check.observes)[0]
        return check.observes in links or self.state_of(check.observes) != healthy

    def _readings(self, check: Check, model: ReadingModel) -> dict[str, str]:
        """What the instrument shows of the finding that is not as it should be, if one is not."""
        spreads = {check.observes: model.states}
        spreads |= {said.finding: said.states for said in model.also if said.value is None}
        ill = (f for f in spreads if self.state_of(f) != self._compiled.states(f)[0])
        finding = next(ill, check.observes)
        state = self.state_of(finding)
        rng = self._rng(f"reading:{check.id}")
        hours = hours_to_show(model.rates[model.shows].median) if model.shows else 0.0
        try:
            if model.shows:
                response, uncertainty = answering(model.quantity, self._known(), hours)
                pace = model.rates[state]
                rate = pace.median * pace.factor ** float(rng.normal())
                value = float(rng.normal(response(rate), uncertainty))
            else:
                spread = spreads[finding][state]
                scatter = _SCATTER * min(s.sd for s in spreads[finding].values())
                value = float(rng.normal(spread.mean, float(np.hypot(spread.sd, scatter))))
            return shown(model.quantity, value, self._known(), hours)
        except DiagnoseError:
            return {}

    def _known(self) -> dict[str, object]:
        """What is known of the shock by kinds of quantity, as the bench has them."""
        fields = self._compiled.knowledge.device.fields
        return {field.kind: self._job.shock.get(name) for name, field in fields.items()}

    def _rng(self, name: str) -> np.random.Generator:
        return np.random.default_rng([self._scenario.seed, zlib.crc32(name.encode())])

    def _draw(self, name: str, chances: Floats) -> int:
        return int(self._rng(name).choice(len(chances), p=chances / chances.sum()))


def _text_of(card: Symptom | Check, state: str) -> str:
    return next((a.text for a in card.answers if a.state == state), state.replace("_", " "))
