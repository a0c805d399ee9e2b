"""The best fixed checklist for one complaint, to hold the strategy against.

A checklist asks its checks in one order, whatever comes out. It stops either where the strategy
would stop, or where going on with this very list is worth less than it costs, computed backwards:
no stop rule is better for it. What the strategy saves is what choosing by the answers is worth.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief.network import Floats
from diagnose.strategy.lookahead import Option, Situation

__all__ = [
    "Comparison",
    "best_checklist",
    "checklist_cost",
    "compare_strategies",
    "cost_curve",
    "informed_cost",
]

#: what a strategy says of a situation: the position of the next option, or None to stop
Strategy = Callable[[Situation], int | None]

#: sets of causes that a comparison keeps, the heaviest first
_SETS = 150

#: checks that a checklist may be made of, those first that save most by themselves; its length
_CANDIDATES, _LENGTH = 20, 6

#: branches less likely than this are decided at once, by checklist and strategy alike
_UNLIKELY = 2e-3

#: questions after which the branches that are left are hardly ever reached
_MOST = 12


@dataclass(frozen=True)
class Comparison:
    """Expected cost of one job [currency].

    Attributes
    ----------
    at_once : deciding without any check. checklist : with the list, stopped where the strategy
    would stop. best_stopped : with the list, stopped as is best for it. strategy : with the
    strategy. informed : with every check done for nothing, below which no questions get anybody.
    known : causes known for nothing. items : the checklist.
    list_curve, curve : (questions + 1,) cost of checklist and strategy where after so many
    questions it must be decided.
    """

    at_once: float
    checklist: float
    best_stopped: float
    strategy: float
    informed: float
    known: float
    items: tuple[str, ...]
    list_curve: tuple[float, ...] = ()
    curve: tuple[float, ...] = ()

    @property
    def saved(self) -> float:
        """Share of the checklist's avoidable cost that the strategy saves, same stop rule."""
        return (self.checklist - self.strategy) / max(self.checklist - self.informed, 1e-9)


def compare_strategies(situation: Situation, strategy: Strategy) -> Comparison:
    """Hold a strategy against the best fixed checklist; exact over the heaviest sets of causes."""
    rows = np.argsort(-situation.weights, kind="stable")[:_SETS]
    weights = situation.weights[rows] / situation.weights[rows].sum()
    decisions = tuple(d[rows] for d in situation.decisions)
    options = tuple(replace(o, outcomes=o.outcomes[rows]) for o in situation.options)
    kept = Situation(weights, decisions, options, situation.acts_done)
    items = best_checklist(kept)
    by_list = cost_curve(kept, _by_list(items, options, strategy))
    ours = cost_curve(kept, strategy)
    return Comparison(
        _stop(weights, decisions),
        float(by_list[-1]),
        checklist_cost(kept, items),
        float(ours[-1]),
        informed_cost(kept),
        float(sum(weights @ d.min(axis=1) for d in decisions)),
        tuple(options[i].id for i in items),
        tuple(by_list.tolist()),
        tuple(ours.tolist()),
    )


def _by_list(items: Sequence[int], options: Sequence[Option], strategy: Strategy) -> Strategy:
    """The next item of a list for as long as the strategy would ask anything at all."""
    order = {options[i].id: place for place, i in enumerate(items)}

    def next_item(situation: Situation) -> int | None:
        left = [(order[o.id], n) for n, o in enumerate(situation.options) if o.id in order]
        return min(left)[1] if left and strategy(situation) is not None else None

    return next_item


def best_checklist(situation: Situation) -> tuple[int, ...]:
    """Positions of the checks: added one by one, then each swapped for any other while it helps."""
    singles = [checklist_cost(situation, (i,)) for i in range(len(situation.options))]
    candidates = np.argsort(singles, kind="stable")[:_CANDIDATES].tolist()
    chosen: tuple[int, ...] = ()
    cost = checklist_cost(situation, chosen)
    while len(chosen) < _LENGTH:
        longer = _best(situation, _insertions(situation, chosen, candidates))
        if longer is None or longer[0] >= cost - 1e-9:
            break
        cost, chosen = longer
    while True:
        other = _best(situation, _swaps(situation, chosen, candidates))
        if other is None or other[0] >= cost - 1e-9:
            return chosen
        cost, chosen = other


def _best(
    situation: Situation, lists: Sequence[tuple[int, ...]]
) -> tuple[float, tuple[int, ...]] | None:
    return min(((checklist_cost(situation, row), row) for row in lists), default=None)


def _insertions(
    situation: Situation, chosen: tuple[int, ...], candidates: Sequence[int]
) -> list[tuple[int, ...]]:
    free = _free(situation, chosen, candidates)
    return [(*chosen, i) for i in free]


def _swaps(
    situation: Situation, chosen: tuple[int, ...], candidates: Sequence[int]
) -> list[tuple[int, ...]]:
    """One item replaced, or two items in each other's place."""
    rows = []
    for at in range(len(chosen)):
        rest = chosen[:at] + chosen[at + 1 :]
        rows += [(*chosen[:at], i, *chosen[at + 1 :]) for i in _free(situation, rest, candidates)]
        for other in range(at):
            turned = list(chosen)
            turned[at], turned[other] = turned[other], turned[at]
            rows.append(tuple(turned))
    return [row for row in rows if row != chosen]


def _free(situation: Situation, chosen: tuple[int, ...], candidates: Sequence[int]) -> list[int]:
    """Candidates on findings that the list does not look at yet."""
    seen = {situation.options[i].finding for i in chosen}
    return [i for i in candidates if situation.options[i].finding not in seen]


def checklist_cost(situation: Situation, items: Sequence[int]) -> float:
    """Expected cost of a checklist that stops at the best moments."""
    branches = situation.weights[None, :]
    masses, stops, prices = [], [], []
    done = set(situation.acts_done)
    for i in (*items, None):
        masses.append(branches.sum(axis=1))
        stops.append(sum((branches @ d).min(axis=1) for d in situation.decisions))
        if i is None:
            break
        option = situation.options[i]
        shared = option.act is None or option.act in done
        prices.append(option.price + (0.0 if shared else option.act_price))
        done.add(option.act or "")
        branches = (branches[:, None, :] * option.outcomes.T).reshape(-1, branches.shape[1])
    value: Floats = np.asarray(stops[-1])
    for n in range(len(items) - 1, -1, -1):
        going = masses[n] * prices[n] + value.reshape(len(masses[n]), -1).sum(axis=1)
        value = np.minimum(stops[n], going)
    return float(value[0])


def cost_curve(
    situation: Situation, strategy: Strategy, most: int = _MOST, chance: float = 1.0
) -> Floats:
    """(most + 1,) expected cost of a strategy that must decide after 0, 1, .. so many questions.

    Parameters
    ----------
    chance : chance of coming here; what hardly ever happens is decided at once.
    """
    stop = _stop(situation.weights, situation.decisions)
    curve = np.full(most + 1, stop)
    choice = strategy(situation) if most and chance >= _UNLIKELY else None
    if choice is None:
        return curve
    option = situation.options[choice]
    shared = option.act is None or option.act in situation.acts_done
    curve[1:] = option.price + (0.0 if shared else option.act_price)
    done = situation.acts_done | ({option.act} if option.act else set())
    rest = tuple(o for o in situation.options if o.finding != option.finding)
    for answer in option.outcomes.T:
        branch = situation.weights * answer
        mass = float(branch.sum())
        if mass > 0.0:
            after = Situation(branch / mass, situation.decisions, rest, done)
            curve[1:] += mass * cost_curve(after, strategy, most - 1, chance * mass)
    return curve


def informed_cost(situation: Situation, draws: int = 600, seed: int = 0) -> float:
    """Expected cost of deciding with the answers of all checks, one a finding, done for nothing.

    A mean over drawn sets and answers, the same for the same seed.
    """
    rng = np.random.default_rng(seed)
    sets = rng.choice(len(situation.weights), draws, p=situation.weights)
    log = np.tile(np.log(np.maximum(situation.weights, 1e-300)), (draws, 1))
    for option in {option.finding: option for option in reversed(situation.options)}.values():
        reached = np.cumsum(option.outcomes[sets], axis=1)
        answers = (rng.random((draws, 1)) * reached[:, -1:] > reached).sum(axis=1)
        log += np.log(np.maximum(option.outcomes[:, answers].T, 1e-300))
    weights = np.exp(log - log.max(axis=1, keepdims=True))
    weights /= weights.sum(axis=1, keepdims=True)
    return float(sum((weights @ d).min(axis=1) for d in situation.decisions).mean())


def _stop(weights: Floats, decisions: Sequence[Floats]) -> float:
    return float(sum((weights @ d).min() for d in decisions))
