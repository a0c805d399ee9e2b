"""The next step: the option whose answers save more than they cost, three steps ahead.

Rules
-----
- `Situation` is all that this file knows: weights of fault sets, the cost of every final decision
  in every set, and for each option its price and the chance of each answer in each set.
- Values are expected costs; a step is worth taking when stopping now costs more.
- Options on the same finding are not combined: given the faults they would answer alike.
- Every option is looked at one step deep, the best of them two, and the best of those three: what a
  step leaves to be done is cheap to bound, and the next best steps are rarely far down the list.

Source: Heckerman, Breese & Rommelse 1995, *Decision-theoretic troubleshooting*, CACM 38(3), for
expected cost as the measure; the lookahead is the usual depth-limited expectimax.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief.network import Floats, Indices

__all__ = ["Option", "Outlook", "Situation", "advise"]


@dataclass(frozen=True)
class Option:
    """One question or check.

    Attributes
    ----------
    price : cost of asking [currency]. act : preparation shared with other options, or None;
    act_price : its cost, paid by the first of them. outcomes : (sets, answers) chances, rows sum
    to 1. finding : what it observes.
    """

    id: str
    price: float
    outcomes: Floats
    finding: str
    act: str | None = None
    act_price: float = 0.0


@dataclass(frozen=True)
class Situation:
    """What the choice rests on.

    Attributes
    ----------
    weights : (sets,) sum 1. decisions : tables (sets, choices); stopping costs the sum over the
    tables of the least expected cost in each. options : what may be done next. acts_done :
    preparations that are paid for.
    """

    weights: Floats
    decisions: tuple[Floats, ...]
    options: tuple[Option, ...]
    acts_done: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Outlook:
    """The best next step and what it is worth.

    Attributes
    ----------
    option : index of the best option, or None: stop. stop_cost : expected cost of stopping now.
    values : (options,) expected cost when that option is taken first. saving : stop cost less the
    best value, >= 0 when an option is advised.
    """

    option: int | None
    stop_cost: float
    values: Floats
    saving: float


def advise(
    situation: Situation,
    *,
    steps: int = 3,
    wide: int = 24,
    second: int = 40,
    least: float = 0.0,
    alike: float = 0.03,
) -> Outlook:
    """Choose the next step by looking ahead.

    Parameters
    ----------
    steps : how many steps to look ahead, 1 to 3.
    wide : how many options, best one-step value first, are looked at two steps deep.
    second : how many options, by the same order, may be the second step.
    least : saving that a step must promise to be taken at all.
    alike : share of the saving within which first steps count as alike; the one that tells most at
    once is taken.
    """
    stop = float(sum((situation.weights @ d).min() for d in situation.decisions))
    if not situation.options:
        return Outlook(None, stop, np.zeros(0), 0.0)
    tree = _Tree(situation)
    ends = tree.stop_costs(tree.branches(situation.weights, slice(None)))
    values = tree.prices() + np.add.reduceat(ends, tree.edges[:-1])
    at_once = values.copy()
    chosen = np.argsort(values, kind="stable")
    if steps > 1 and len(chosen) > 1:
        after = _After(tree, np.sort(chosen[:second]))
        values[chosen[:wide]] = after.two_steps(chosen[:wide], ends)
    if steps > 2 and len(chosen) > 2:
        heavy = _Tree(_heaviest(situation))
        after = _After(heavy, np.sort(np.argsort(values, kind="stable")[:_THIRD]))
        for first in np.argsort(values, kind="stable")[:_FIRST].tolist():
            values[first] -= after.third_step(first)
    near = values <= values.min() + alike * (stop - values.min())
    best = int(np.argmin(np.where(near, at_once, np.inf)))
    saving = stop - float(values[best])
    if saving <= least:
        return Outlook(None, stop, values, max(saving, 0.0))
    return Outlook(best, stop, values, saving)


#: options looked at three steps deep, second steps for each of their answers, third steps
_FIRST, _SECOND, _THIRD = 6, 6, 24

#: sets that the third step is computed for, the heaviest first
_MOST = 150


def _heaviest(situation: Situation) -> Situation:
    """The situation with only the sets that carry most of the weight."""
    rows = np.sort(np.argsort(-situation.weights, kind="stable")[:_MOST])
    options = tuple(replace(o, outcomes=o.outcomes[rows]) for o in situation.options)
    decisions = tuple(d[rows] for d in situation.decisions)
    return Situation(situation.weights[rows], decisions, options, situation.acts_done)


class _Tree:
    """A situation as arrays: one column for each answer of each option."""

    def __init__(self, situation: Situation) -> None:
        options = situation.options
        self.weights = situation.weights
        self.table = np.concatenate(situation.decisions, axis=1)
        self._starts = np.cumsum([0, *(d.shape[1] for d in situation.decisions)])[:-1]
        self.stacked = np.concatenate([o.outcomes for o in options], axis=1)
        self.sizes = np.array([o.outcomes.shape[1] for o in options])
        self.edges = np.cumsum([0, *self.sizes])
        self._price = np.array([o.price for o in options])
        acts: dict[str, int] = {}
        self.act = np.array(
            [-1 if o.act is None else acts.setdefault(o.act, len(acts)) for o in options]
        )
        paid = np.array([o.act is None or o.act in situation.acts_done for o in options])
        self._extra = np.where(paid, 0.0, [o.act_price for o in options])
        names: dict[str, int] = {}
        self.finding = np.array([names.setdefault(o.finding, len(names)) for o in options])

    def answers(self, option: int) -> slice:
        return slice(int(self.edges[option]), int(self.edges[option + 1]))

    def columns(self, options: Indices) -> Indices:
        return np.concatenate([np.arange(self.edges[i], self.edges[i + 1]) for i in options])

    def branches(self, weights: Floats, columns: slice | Indices) -> Floats:
        """(answers, sets) weights after each of these answers, not normalised."""
        result: Floats = (self.stacked[:, columns] * weights[:, None]).T
        return result

    def stop_costs(self, branches: Floats) -> Floats:
        """Cost of deciding at once, the branch's chance included."""
        return self.least(branches @ self.table)

    def least(self, costs: Floats) -> Floats:
        """Sum over the decision tables of the least cost in each (last axis)."""
        result: Floats = np.minimum.reduceat(costs, self._starts, axis=-1).sum(axis=-1)
        return result

    def prices(self, *done: int) -> Floats:
        """(options,) price of each option after these ones, what they share paid once."""
        extra = self._extra
        for option in done:
            if self.act[option] >= 0:
                extra = np.where(self.act == self.act[option], 0.0, extra)
        result: Floats = self._price + extra
        return result


class _After:
    """Costs of one further step, chosen among some of the options, in any branch."""

    def __init__(self, tree: _Tree, options: Indices) -> None:
        self.tree, self.options = tree, options
        self._cuts = np.cumsum([0, *tree.sizes[options]])[:-1]
        outcomes = tree.stacked[:, tree.columns(options), None]
        self._combined = (outcomes * tree.table[:, None, :]).reshape(len(tree.weights), -1)

    def costs(self, branches: Floats) -> Floats:
        """(branches, options) cost of deciding after that one step, without its price."""
        flat = (branches @ self._combined).reshape(len(branches), -1, self.tree.table.shape[1])
        result: Floats = np.add.reduceat(self.tree.least(flat), self._cuts, axis=1)
        return result

    def priced(self, costs: Floats, chances: Floats, *done: int) -> Floats:
        """The same with prices after these steps; what would tell nothing new is left out."""
        tree = self.tree
        result: Floats = costs + chances[:, None] * tree.prices(*done)[self.options]
        for option in done:
            result[:, tree.finding[self.options] == tree.finding[option]] = np.inf
        return result

    def two_steps(self, firsts: Indices, stops: Floats) -> Floats:
        """Cost of options whose every answer is followed by the best second step or none.

        Parameters
        ----------
        stops : cost of deciding after each answer of every option.
        """
        tree, result = self.tree, np.empty(len(firsts))
        columns = tree.columns(firsts)
        branches = tree.branches(tree.weights, columns)
        costs, chances, stops = self.costs(branches), branches.sum(axis=1), stops[columns]
        starts = np.cumsum([0, *(tree.sizes[firsts])])
        for n, first in enumerate(firsts.tolist()):
            rows = slice(int(starts[n]), int(starts[n + 1]))
            nexts = self.priced(costs[rows], chances[rows], first).min(axis=1)
            result[n] = np.minimum(stops[rows], nexts).sum()
        return result + tree.prices()[firsts]

    def third_step(self, first: int) -> float:
        """What a third step saves over two, the best few second steps considered."""
        tree, saved = self.tree, 0.0
        branches = tree.branches(tree.weights, tree.answers(first))
        chances = branches.sum(axis=1)
        nexts = self.priced(self.costs(branches), chances, first)
        prices = tree.prices(first)
        for branch, chance, stop, row in zip(
            branches, chances, tree.stop_costs(branches), nexts, strict=True
        ):
            places = np.argsort(row, kind="stable")[:_SECOND]
            places = places[np.isfinite(row[places])]
            if not len(places):
                continue
            seconds = self.options[places]
            later = tree.branches(branch, tree.columns(seconds))
            costs, ends, shares = self.costs(later), tree.stop_costs(later), later.sum(axis=1)
            starts = np.cumsum([0, *(tree.sizes[seconds])])
            three = stop
            for n, option in enumerate(seconds.tolist()):
                rows = slice(int(starts[n]), int(starts[n + 1]))
                thirds = self.priced(costs[rows], shares[rows], first, option).min(axis=1)
                end = np.minimum(ends[rows], thirds).sum()
                three = min(three, chance * prices[option] + end)
            saved += float(min(stop, row[places[0]]) - three)
        return saved
