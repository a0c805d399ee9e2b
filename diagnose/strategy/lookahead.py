"""The next step: the option whose answers save more than they cost, looking ahead.

Rules
-----
- `Situation` is all that this file knows: weights of fault sets, the cost of every final decision
  in every set, and for each option its price and the chance of each answer in each set, 'not sure'
  among them.
- Values are expected costs; a step is worth taking when stopping now costs more.
- Options on the same finding are not combined: given the faults they would answer alike. Nor is an
  option with what it spoils: of two that are both worth their price, what needs the device as it
  came in goes first.
- Every option is looked at one step deep, the best of them two, and the best of those three. A row
  of cheap questions that tell only together is seen by following a base policy from the best few
  onwards: it asks what takes most from the regret of a plan drawn by its chance of being right, as
  long as that is more than the price. Whatever it reaches may stop where stopping is cheaper, so
  that its cost is one that can be had.

Sources: Heckerman, Breese & Rommelse 1995, *Decision-theoretic troubleshooting*, CACM 38(3), for
expected cost as the measure; Bertsekas & Castanon 1999, *Rollout algorithms for stochastic
scheduling problems*, J. Heuristics 5, for following a base policy; the regret of a drawn plan is
the Gini measure of impurity with costs, Breiman et al. 1984, *Classification and regression
trees*, ch. 4: unlike the least cost it falls with every answer that tells something.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from diagnose.belief.network import Floats, Indices

__all__ = ["AHEAD", "Option", "Outlook", "Situation", "advise"]

Bools = npt.NDArray[np.bool_]

#: steps that are looked ahead
AHEAD = 6

#: exact look: options two steps deep, options that may be the second step, second steps for each
#: answer that are looked at three steps deep
_WIDE, _SECOND, _NEXT = 24, 40, 6

#: what is looked at deeper: first steps, options that may follow, sets that it is computed for
_FIRST, _FOLLOWED, _MOST = 6, 24, 150

#: chance of a branch below which the policy is not followed
_LEAST = 0.02


@dataclass(frozen=True)
class Option:
    """One question or check.

    Attributes
    ----------
    price : cost of asking [currency]. outcomes : (sets, answers) chances, rows sum to 1, 'not sure'
    among the answers. finding : what it observes; about : what else it does. act : preparation
    shared with other options, or None; act_price : its cost, paid by the first of them.
    answers : names of the outcomes. needs : conditions without which it cannot be asked; spoils :
    those that it ends.
    """

    id: str
    price: float
    outcomes: Floats
    finding: str
    act: str | None = None
    act_price: float = 0.0
    about: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()
    needs: frozenset[str] = frozenset()
    spoils: frozenset[str] = frozenset()

    @property
    def whole_price(self) -> float:
        """Its price with its preparation [currency]."""
        return self.price + self.act_price


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


def advise(situation: Situation, *, ahead: int = AHEAD) -> Outlook:
    """Choose the next step by looking ahead.

    Parameters
    ----------
    ahead : how many steps to look ahead at most; what is further than three follows the base
    policy alone.
    """
    stop = float(sum((situation.weights @ d).min() for d in situation.decisions))
    if not situation.options:
        return Outlook(None, stop, np.zeros(0), 0.0)
    tree = _Tree(situation)
    ends = tree.stop_costs(tree.branches(situation.weights, slice(None)))
    values = tree.prices() + np.add.reduceat(ends, tree.edges[:-1])
    order = np.argsort(values, kind="stable")
    if ahead > 1 and len(order) > 1:
        after = _After(tree, np.sort(order[:_SECOND]))
        values[order[:_WIDE]] = after.two_steps(order[:_WIDE], ends)
    if ahead > 2 and len(order) > 2:
        heavy = _Tree(_heaviest(situation))
        after = _After(heavy, np.sort(np.argsort(values, kind="stable")[:_FOLLOWED]))
        for first in np.argsort(values, kind="stable")[:_FIRST].tolist():
            values[first] -= after.third_step(first)
        base = _Base(heavy, ahead)
        firsts = base.firsts(np.argsort(values, kind="stable"))
        values[firsts] = np.minimum(values[firsts], stop - base.savings(firsts))
    best = int(np.argmin(values))
    saving = stop - float(values[best])
    if saving <= 0.0:
        return Outlook(None, stop, values, 0.0)
    return Outlook(best, stop, values, saving)


def _heaviest(situation: Situation) -> Situation:
    """The situation with only the sets that carry most of the weight."""
    rows = np.sort(np.argsort(-situation.weights, kind="stable")[:_MOST])
    weights = situation.weights[rows]
    options = tuple(replace(o, outcomes=o.outcomes[rows]) for o in situation.options)
    decisions = tuple(d[rows] for d in situation.decisions)
    return Situation(weights / weights.sum(), decisions, options, situation.acts_done)


class _Tree:
    """A situation as arrays: one column for each answer of each option."""

    def __init__(self, situation: Situation) -> None:
        options = situation.options
        self.weights = situation.weights
        self.tables = situation.decisions
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
        names = {f: n for n, f in enumerate({f: 0 for o in options for f in (o.finding, *o.about)})}
        observed = np.zeros((len(options), len(names)))
        for n, option in enumerate(options):
            observed[n, [names[f] for f in (option.finding, *option.about)]] = 1.0
        spoiled = [[bool(a.spoils & b.needs) for b in options] for a in options]
        #: (options, options) after which which one tells nothing new, or can no longer be asked
        self.alike = (observed @ observed.T > 0.0) | np.array(spoiled)
        #: (options, options) which share a preparation
        self.sharing = (self.act[:, None] == self.act) & (self.act >= 0)

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

    def price_table(self, paid: Bools) -> Floats:
        """(branches, options) prices where these preparations are done."""
        result: Floats = self._price + np.where(paid, 0.0, self._extra)
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
            result[:, tree.alike[option][self.options]] = np.inf
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
            places = np.argsort(row, kind="stable")[:_NEXT]
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


class _Base:
    """The base policy, followed from the answers of a first step.

    Parameters
    ----------
    tree : a situation with few sets. depth : steps at most, the first included.
    """

    def __init__(self, tree: _Tree, depth: int) -> None:
        self.tree, self.depth = tree, depth
        regrets, members = [], []
        for table in tree.tables:
            right = table.argmin(axis=1)
            # Only plans that are right somewhere are drawn.
            kept = np.unique(right)
            regrets.append((table - table.min(axis=1, keepdims=True))[:, kept])
            members.append((right[:, None] == kept).astype(float))
        self._regret, self._member = np.hstack(regrets), np.hstack(members)
        chances = np.add.reduceat(
            self._drawn(tree.branches(tree.weights, slice(None))), tree.edges[:-1]
        )
        self._net = chances + tree.prices()
        self.options = np.sort(np.argsort(self._net, kind="stable")[:_FOLLOWED])
        columns = tree.columns(self.options)
        outcomes = tree.stacked[:, columns, None]
        both = np.concatenate([self._regret, self._member], axis=1)
        self._combined = (outcomes * both[:, None, :]).reshape(len(tree.weights), -1)
        self._cuts = np.cumsum([0, *tree.sizes[self.options]])[:-1]

    def firsts(self, order: Indices) -> Indices:
        """The first steps worth following: of the exact order, and of the policy's own."""
        own = np.argsort(self._net, kind="stable")
        return np.unique(np.concatenate([order[:_FIRST], own[:_FIRST]]))

    def _drawn(self, branches: Floats) -> Floats:
        """(branches,) chance of a branch times the regret of a plan drawn by its chance."""
        return self._of(branches @ self._regret, branches @ self._member, branches.sum(axis=1))

    def _of(self, regrets: Floats, members: Floats, mass: Floats) -> Floats:
        result: Floats = (regrets * members).sum(axis=-1) / np.maximum(mass, 1e-300)
        return result

    def savings(self, firsts: Indices) -> Floats:
        """(firsts,) what each of them saves over stopping now, the policy following it."""
        tree = self.tree
        stop = tree.stop_costs(tree.weights[None, :])[0]
        columns = tree.columns(firsts)
        owner = np.repeat(np.arange(len(firsts)), tree.sizes[firsts])
        used = tree.alike[firsts][owner]
        paid = tree.sharing[firsts][owner]
        ends = self._follow(tree.branches(tree.weights, columns), used, paid, self.depth - 1)
        cost = np.bincount(owner, weights=ends, minlength=len(firsts)) + tree.prices()[firsts]
        result: Floats = stop - cost
        return result

    def _follow(self, branches: Floats, used: Bools, paid: Bools, left: int) -> Floats:
        """(branches,) cost from each branch on, its chance included.

        Parameters
        ----------
        used : (branches, options) what would tell nothing new. paid : (branches, options) whose
        preparation is done. left : steps that may follow.
        """
        tree = self.tree
        costs = tree.stop_costs(branches)
        mass = branches.sum(axis=1)
        going = np.flatnonzero(mass >= _LEAST) if left > 0 else np.zeros(0, dtype=np.intp)
        if not len(going):
            return costs
        here, wide = branches[going], self._regret.shape[1]
        flat = (here @ self._combined).reshape(len(going), -1, 2 * wide)
        regrets, members = flat[..., :wide], flat[..., wide:]
        told = self._of(regrets, members, self._branch_mass(here))
        prices = tree.price_table(paid[going])[:, self.options]
        after = np.add.reduceat(told, self._cuts, axis=1) + mass[going, None] * prices
        after[used[going][:, self.options]] = np.inf
        best = after.argmin(axis=1)
        worth = after[np.arange(len(going)), best] < self._drawn(here)
        going, best = going[worth], best[worth]
        if not len(going):
            return costs
        chosen = self.options[best]
        sizes = tree.sizes[chosen]
        owner = np.repeat(np.arange(len(going)), sizes)
        columns = tree.columns(chosen)
        nexts = branches[going][owner] * tree.stacked[:, columns].T
        later = self._follow(
            nexts,
            (used[going] | tree.alike[chosen])[owner],
            (paid[going] | tree.sharing[chosen])[owner],
            left - 1,
        )
        price = tree.price_table(paid[going])[np.arange(len(going)), chosen]
        onward = np.bincount(owner, weights=later, minlength=len(going)) + mass[going] * price
        costs[going] = np.minimum(costs[going], onward)
        return costs

    def _branch_mass(self, branches: Floats) -> Floats:
        """(branches, answers) chance of each answer of the followed options after each branch."""
        result: Floats = branches @ self.tree.stacked[:, self.tree.columns(self.options)]
        return result
