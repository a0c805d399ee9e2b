"""A simulated shock and its people: they answer from a truth, each question once.

Rules
-----
- Every finding has one state in one world, drawn when it is first needed; asked again, by anybody,
  it is still that state.
- A reporter says one thing about a card and stays with it.
- Given the state, reporters err independently of one another, as the belief
  assumes; `Nature` adds errors of which the belief knows nothing.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.network import Floats
from diagnose.belief.reports import report_table
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check, Floor, Symptom

__all__ = ["NOT_SURE", "Nature", "World", "floors_of"]

#: the report that says nothing
NOT_SURE = "not_sure"


@dataclass(frozen=True)
class Nature:
    """Errors beyond those that the cards state.

    Attributes
    ----------
    flips : chance that an answer is replaced by another state, any of them alike.
    not_sure : chance that nothing is known of it.
    """

    flips: float = 0.0
    not_sure: float = 0.0


class World:
    """One shock with its truth, its customer and its bench.

    Parameters
    ----------
    truth : ids of the present causes. rng : every draw of this world comes from it.
    """

    def __init__(
        self,
        compiled: Compiled,
        truth: Collection[str],
        rng: np.random.Generator,
        nature: Nature | None = None,
    ) -> None:
        self.compiled = compiled
        self.truth = frozenset(truth)
        self.nature = nature or Nature()
        self._rng = rng
        present = np.array([[cause in self.truth for cause in compiled.causes]])
        self._chances = compiled.network.state_chances(present)[0]
        self._states: dict[str, int] = {}
        self._reports: dict[tuple[str, str], str] = {}

    def state_of(self, finding: str) -> str:
        """The true state of a finding."""
        return self.compiled.states(finding)[self._state(finding)]

    def _state(self, finding: str) -> int:
        if finding not in self._states:
            network = self.compiled.network
            f = network.finding_index[finding]
            chances = self._chances[network.state_offsets[f] : network.state_offsets[f + 1]]
            self._states[finding] = self._draw(chances)
        return self._states[finding]

    def report(self, card: Symptom | Check, reporter: str = "") -> str:
        """What a reporter says about a card: a state, or `NOT_SURE`.

        Parameters
        ----------
        reporter : customer, counter or bench; empty: the card's own.
        """
        reporter = reporter or ("customer" if isinstance(card, Symptom) else card.at)
        if (card.id, reporter) not in self._reports:
            table = report_table(self.compiled.knowledge, card, reporter)
            said = self._draw(table[self._state(card.observes)])
            self._reports[card.id, reporter] = self._disturbed(card.observes, said)
        return self._reports[card.id, reporter]

    def _disturbed(self, finding: str, said: int) -> str:
        states = self.compiled.states(finding)
        if self._rng.random() < self.nature.not_sure:
            return NOT_SURE
        if self._rng.random() < self.nature.flips:
            said = int(self._rng.choice([s for s in range(len(states)) if s != said]))
        return states[said]

    def complaint(self, most: int = 3) -> dict[str, str]:
        """What the customer brings up unasked: symptom id -> abnormal state, 1 to ``most`` of them.

        Drawn among all that this customer would mention if it came up, the severer the sooner;
        empty where there is nothing to complain of.
        """
        knowledge = self.compiled.knowledge
        names, states, severity = [], [], []
        for card in knowledge.symptoms.values():
            if not any(state in card.phrases for state in self.compiled.states(card.observes)[1:]):
                continue
            table = report_table(self.compiled.knowledge, card, "customer", unasked=True)
            said = self._draw(table[self._state(card.observes)])
            if said > 0:
                names.append(card.id)
                states.append(self.compiled.states(card.observes)[said])
                severity.append(float(said))
        if not names:
            return {}
        count = min(len(names), int(self._rng.integers(1, most + 1)))
        weights = np.array(severity) / sum(severity)
        chosen = self._rng.choice(len(names), count, replace=False, p=weights)
        for n in chosen:
            self._reports[names[n], "customer"] = states[n]
        return {names[n]: states[n] for n in sorted(chosen.tolist())}

    def _draw(self, chances: Floats) -> int:
        reached = np.cumsum(chances)
        return int(np.searchsorted(reached, self._rng.random() * reached[-1], side="right"))


def floors_of(knowledge: Knowledge, finding: str, state: str) -> list[Floor]:
    """Floors that a finding in this state sets."""
    return [f for f in knowledge.floors if f.finding == finding and state in knowledge.states_of(f)]
