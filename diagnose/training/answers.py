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
from dataclasses import dataclass

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
from diagnose.job.state import JobState
from diagnose.knowledge.models import Check, Floor, ReadingModel, Symptom
from diagnose.reasoning.evidence import measured_likelihood
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
                state = self._state_written(card, value)
                if state:
                    fixed[card.observes] = state
        return fixed

    def _state_written(self, card: Symptom | Check, value: object) -> str:
        said = self._event(card, value)
        if isinstance(said, Answered):
            return "" if said.state == NOT_SURE else said.state
        if isinstance(said, Measured) and isinstance(card, Check) and card.reading is not None:
            try:
                amount = measure_check(card, said.readings, self._job)
            except DiagnoseError:
                return ""
            states = self._compiled.states(card.observes)
            misread = self._compiled.knowledge.pack.reporters.misread
            likelihood = measured_likelihood(card.reading, amount, states, misread)
            return states[int(np.argmax(likelihood))]
        return ""

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
        states = self._compiled.states(card.observes)
        table = report_table(self._compiled.knowledge, card, by)
        true = states.index(self.state_of(card.observes))
        state = states[self._draw(f"report:{by}:{card.id}", table[true])]
        return Said(Answered(ask=card.id, state=state, by=by), _text_of(card, state))

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
        """What the instrument shows; checks of one quantity read one and the same value."""
        named = self._leading(check, model)
        model = named.reading or model
        state = self.state_of(named.observes)
        rng = self._rng(f"reading:{named.id}")
        hours = hours_to_show(model.rates[model.shows].median) if model.shows else 0.0
        try:
            if model.shows:
                response, uncertainty = answering(model.quantity, self._known(), hours)
                pace = model.rates[state]
                rate = pace.median * pace.factor ** float(rng.normal())
                value = float(rng.normal(response(rate), uncertainty))
            else:
                spread = model.states[state]
                scatter = _SCATTER * min(s.sd for s in model.states.values())
                value = float(rng.normal(spread.mean, float(np.hypot(spread.sd, scatter))))
            return shown(model.quantity, value, self._known(), hours)
        except DiagnoseError:
            return {}

    def _known(self) -> dict[str, object]:
        """What is known of the shock by kinds of quantity, as the bench has them."""
        fields = self._compiled.knowledge.device.fields
        return {field.kind: self._job.shock.get(name) for name, field in fields.items()}

    def _leading(self, check: Check, model: ReadingModel) -> Check:
        """Of the checks that read the same, the one whose finding is not healthy here."""
        if self._alone(check, model):
            return check
        same = [
            other
            for other in self._compiled.knowledge.checks.values()
            if other.reading is not None
            and other.reading.quantity == model.quantity
            and not self._alone(other, other.reading)
        ]
        for other in same:
            if self.state_of(other.observes) != self._compiled.states(other.observes)[0]:
                return other
        return same[0]

    def _alone(self, check: Check, model: ReadingModel) -> bool:
        """It reads something of its own although others compute the same quantity."""
        signs = signs_of(self._compiled.knowledge)
        return check.observes in signs or formulas.measurable(model.quantity).waits

    def _rng(self, name: str) -> np.random.Generator:
        return np.random.default_rng([self._scenario.seed, zlib.crc32(name.encode())])

    def _draw(self, name: str, chances: Floats) -> int:
        return int(self._rng(name).choice(len(chances), p=chances / chances.sum()))


def _text_of(card: Symptom | Check, state: str) -> str:
    return next((a.text for a in card.answers if a.state == state), state.replace("_", " "))
