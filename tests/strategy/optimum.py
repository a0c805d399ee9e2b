"""The exact optimum of small problems, by dynamic programming, and problems cut from the cards.

A problem has few sets of causes, few checks and every answer of each, 'not sure' among them. Its
states of knowledge are one number a check: not yet asked, or which answer it gave. The cost to come
of every such state follows from those with one more answer, so that no policy can do better.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np

from diagnose.belief.compiled import Compiled, compile_pack
from diagnose.belief.hypotheses import SetTable
from diagnose.belief.network import Floats
from diagnose.belief.reports import confusion
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check, Symptom
from diagnose.strategy.lookahead import Option, Situation
from diagnose.strategy.plans import CostModel

#: what a policy says of a situation: the position of the next option, or None to stop
Policy = Callable[[Situation], int | None]

#: chance that a check tells nothing
NOT_SURE = 0.1


@dataclass(frozen=True)
class Optimum:
    """Expected cost of the best policy, of stopping at once, and how often the best one asks."""

    cost: float
    stop: float
    asked: float


def optimum(situation: Situation) -> Optimum:
    """Solve a situation exactly.

    Options on one finding count as independent given the set, so give each a finding of its own.
    """
    options, count = situation.options, len(situation.options)
    sizes = [o.outcomes.shape[1] for o in options]
    weights = situation.weights.reshape(-1, *(1,) * count)
    values: dict[int, tuple[Floats, Floats]] = {}
    for asked in sorted(range(1 << count), key=lambda m: -m.bit_count()):
        inside = [i for i in range(count) if asked >> i & 1]
        table = weights
        for i in inside:
            shape = [1] * count
            shape[i] = sizes[i]
            table = table * options[i].outcomes.reshape(-1, *shape)
        mass = table.sum(axis=0)
        best = sum(
            np.einsum("s...,sd->...d", table, costs).min(axis=-1) for costs in situation.decisions
        )
        asks = np.zeros_like(mass)
        acts = situation.acts_done | {options[i].act for i in inside}
        for i in range(count):
            if asked >> i & 1:
                continue
            later, more = values[asked | 1 << i]
            shared = options[i].act is None or options[i].act in acts
            price = options[i].price + (0.0 if shared else options[i].act_price)
            going = mass * price + later.sum(axis=i, keepdims=True)
            better = going < best
            best = np.where(better, going, best)
            asks = np.where(better, mass + more.sum(axis=i, keepdims=True), asks)
        values[asked] = (best, asks)
    stop = sum(float((situation.weights @ costs).min()) for costs in situation.decisions)
    cost, asks = values[0]
    return Optimum(float(cost.reshape(())), stop, float(asks.reshape(())))


def cost_of(situation: Situation, policy: Policy) -> float:
    """Expected cost of a policy, exact: every answer of everything it asks is followed."""
    stop = sum(float((situation.weights @ costs).min()) for costs in situation.decisions)
    choice = policy(situation)
    if choice is None:
        return stop
    option = situation.options[choice]
    done = situation.acts_done
    cost = option.price
    if option.act is not None and option.act not in done:
        cost += option.act_price
        done = done | {option.act}
    rest = situation.options[:choice] + situation.options[choice + 1 :]
    for answer in option.outcomes.T:
        branch = situation.weights * answer
        mass = float(branch.sum())
        if mass > 0.0:
            after = Situation(branch / mass, situation.decisions, rest, done)
            cost += mass * cost_of(after, policy)
    return cost


@dataclass(frozen=True)
class Cut:
    """A small problem with what it was cut for."""

    complaint: str
    situation: Situation
    best: Optimum


class Cutter:
    """Cuts small problems from a pack."""

    def __init__(self, knowledge: Knowledge, causes: int = 8, checks: int = 5) -> None:
        self.knowledge = knowledge
        self.compiled: Compiled = compile_pack(knowledge)
        self.model = CostModel(knowledge, self.compiled.causes)
        self.sets = SetTable(self.compiled.network)
        self.causes, self.checks = causes, checks
        cards: list[Symptom | Check] = [*knowledge.symptoms.values(), *knowledge.checks.values()]
        self.tables = {card.id: self._table(card) for card in cards}
        offsets = self.compiled.network.state_offsets
        tables = [self.tables[check] for check in knowledge.checks]
        self._edges = np.cumsum([0, *(len(table) for table in tables)])
        self._all_tables = np.zeros((int(offsets[-1]), int(self._edges[-1])))
        for n, check in enumerate(knowledge.checks.values()):
            start = int(offsets[self.compiled.network.finding_index[check.observes]])
            rows = slice(start, start + len(tables[n]))
            self._all_tables[rows, self._edges[n] : self._edges[n + 1]] = tables[n]
        self.complaints = [
            (card, state)
            for card in knowledge.symptoms.values()
            for state in self.compiled.states(card.observes)[1:]
        ]

    def cuts(self, seed: int) -> Iterator[Cut]:
        """Problems without end, one complaint after the other, those worth their questions only."""
        rng = np.random.default_rng(seed)
        while True:
            for n in rng.permutation(len(self.complaints)):
                card, state = self.complaints[int(n)]
                situation = self.cut(card, state, rng)
                best = optimum(situation)
                if best.asked >= 2.0 and best.cost <= 0.9 * best.stop:
                    yield Cut(f"{card.id}={state}", situation, best)

    def cut(self, card: Symptom, state: str, rng: np.random.Generator) -> Situation:
        """A problem for one complaint: likely causes, checks that are worth something here."""
        network = self.compiled.network
        states = self.compiled.states(card.observes)
        heard = self.tables[card.id][:, states.index(state)]
        likely = self._likely(card.observes, tuple(heard))
        chosen = rng.choice(len(likely), self.causes, replace=False, p=likely)
        present = np.zeros((1 + self.causes * (self.causes + 1) // 2, len(likely)), dtype=bool)
        singles = [(c,) for c in chosen]
        for row, members in enumerate([*singles, *itertools.combinations(chosen, 2)], 1):
            present[row, list(members)] = True
        chances = network.state_chances(present)
        weights = np.prod(np.where(present, network.odds, 1.0), axis=1)
        weights[0] *= network.empty_weight
        start = int(network.state_offsets[network.finding_index[card.observes]])
        weights = weights * (chances[:, start : start + len(states)] @ heard)
        weights /= weights.sum()
        costs = self.model.costs(present)
        told = chances.copy()
        told[:, start : start + len(states)] *= heard
        told[:, start : start + len(states)] /= told[:, start : start + len(states)].sum(
            axis=1, keepdims=True
        )
        return Situation(weights, (costs,), self._options(told, weights, costs, rng))

    @cache  # noqa: B019 (one cutter lives as long as its test)
    def _likely(self, finding: str, heard: tuple[float, ...]) -> Floats:
        """(causes,) share of each cause in what may be there, given one report."""
        evidence = {self.compiled.network.finding_index[finding]: np.array(heard)}
        marginal = self.sets.weigh(self.compiled.network, evidence) @ self.sets.present
        return marginal / marginal.sum()

    def _options(
        self, chances: Floats, weights: Floats, costs: Floats, rng: np.random.Generator
    ) -> tuple[Option, ...]:
        """Checks drawn from the dozen that save most over their price, each on its own finding."""
        rate = self.model.money.rate_per_minute
        told = (1.0 - NOT_SURE) * chances @ self._all_tables
        after = ((told * weights[:, None]).T @ costs).min(axis=1)
        saved = float((weights @ costs).min()) * (1.0 - NOT_SURE)
        gains = saved - np.add.reduceat(after, self._edges[:-1])
        checks = list(self.knowledge.checks.values())
        prices = np.array([rate * (c.minutes + c.act_minutes) for c in checks])
        best: dict[str, int] = {}
        for n in np.argsort(prices - gains, kind="stable").tolist():
            best.setdefault(checks[n].observes, n)
        dozen = list(best.values())[:12]
        options = []
        for n in (dozen[i] for i in rng.choice(len(dozen), self.checks, replace=False)):
            check, here = checks[n], told[:, self._edges[n] : self._edges[n + 1]]
            outcomes = np.hstack([here, np.full((len(told), 1), NOT_SURE)])
            price, act_price = check.minutes * rate, check.act_minutes * rate
            options.append(Option(check.id, price, outcomes, check.observes, check.act, act_price))
        return tuple(options)

    def _table(self, card: Symptom | Check) -> Floats:
        """(true, reported) chances of the card's own reporter."""
        told = card.customer if isinstance(card, Symptom) else card.reliability
        chance = self.knowledge.chance
        return confusion(
            len(self.compiled.states(card.observes)),
            chance(told.hit),
            chance(told.false_alarm),
            chance(told.grade),
        )
