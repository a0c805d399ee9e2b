"""The next step: the option whose answers save more than they cost, two steps ahead.

Rules
-----
- `Situation` is all that this file knows: weights of fault sets, the cost of every final decision
  in every set, and for each option its price and the chance of each answer in each set.
- Values are expected costs; a step is worth taking when stopping now costs more.
- Options on the same finding are not combined: given the faults they would answer alike.

Source: Heckerman, Breese & Rommelse 1995, *Decision-theoretic troubleshooting*, CACM 38(3), for
expected cost as the measure; the lookahead is the usual depth-limited expectimax.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.belief.network import Floats

__all__ = ["Advice", "Option", "Situation", "advise"]


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
class Advice:
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
    situation: Situation, *, wide: int = 24, second: int = 40, least: float = 0.0
) -> Advice:
    """Choose the next step by two-step lookahead.

    Parameters
    ----------
    wide : how many options, best one-step value first, are looked at two steps deep.
    second : how many options, by the same order, may be the second step.
    least : saving that a step must promise to be taken at all.
    """
    table = np.concatenate(situation.decisions, axis=1)
    starts = np.cumsum([0, *(d.shape[1] for d in situation.decisions)])[:-1]
    weights = situation.weights
    stop = float(_least(weights @ table, starts))
    options = situation.options
    if not options:
        return Advice(None, stop, np.zeros(0), 0.0)
    stacked = np.concatenate([o.outcomes for o in options], axis=1)
    edges = np.cumsum([0, *(o.outcomes.shape[1] for o in options)])
    prices = np.array([_price(o, situation.acts_done) for o in options])
    ends = _least((stacked * weights[:, None]).T @ table, starts)
    values = prices + np.add.reduceat(ends, edges[:-1])
    chosen = np.argsort(values, kind="stable")
    seconds = np.sort(chosen[:second])
    columns = np.concatenate([np.arange(edges[s], edges[s + 1]) for s in seconds])
    cuts = np.cumsum([0, *(options[s].outcomes.shape[1] for s in seconds)])[:-1]
    combined = (stacked[:, columns, None] * table[:, None, :]).reshape(len(weights), -1)
    findings = np.array([options[s].finding for s in seconds])
    for first in chosen[:wide].tolist():
        rows = slice(int(edges[first]), int(edges[first + 1]))
        branch = (stacked[:, rows] * weights[:, None]).T
        ahead = _least((branch @ combined).reshape(len(branch), -1, table.shape[1]), starts)
        nexts = np.add.reduceat(ahead, cuts, axis=1)
        after = _prices_after(options, first, prices, situation.acts_done)[seconds]
        nexts += branch.sum(axis=1)[:, None] * after
        nexts[:, findings == options[first].finding] = np.inf
        values[first] = prices[first] + float(np.minimum(ends[rows], nexts.min(axis=1)).sum())
    best = int(np.argmin(values))
    saving = stop - float(values[best])
    if saving <= least:
        return Advice(None, stop, values, max(saving, 0.0))
    return Advice(best, stop, values, saving)


def _least(costs: Floats, starts: Sequence[int] | np.ndarray) -> Floats:
    """Sum over the decision tables of the least cost in each (last axis)."""
    result: Floats = np.minimum.reduceat(costs, starts, axis=-1).sum(axis=-1)
    return result


def _price(option: Option, done: frozenset[str]) -> float:
    extra = option.act_price if option.act is not None and option.act not in done else 0.0
    return option.price + extra


def _prices_after(
    options: Sequence[Option], first: int, prices: Floats, done: frozenset[str]
) -> Floats:
    act = options[first].act
    if act is None or act in done:
        return prices
    after = prices.copy()
    for i, option in enumerate(options):
        if option.act == act:
            after[i] = option.price
    return after
