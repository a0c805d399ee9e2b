"""Bounds where an exact sum would take too much room: the heaviest fault sets, and no more than
so much in all the others.

The idea
--------
Sets are grown cause by cause in one order, so that each has one parent. A set is *opened* when the
weights of all its children are computed. What all sets below a child ``C`` that is not opened
weigh together is bounded from what was computed at its opened parent ``P``, with two functions
that lie above a finding's likelihood:

- its running maximum ``R``, over the states up to each, rises with the set, but by a factor that
  is less the larger the set is (its logarithm is submodular): cause ``i`` raises it above ``P``
  by no more than ``r_i``, its factor at ``P`` itself;
- its maximum ``M`` over the states from each on only falls: above ``P + i`` it is no more than
  ``M(P + i)``.

Each finding is given one of the two. With ``u_i`` the odds times the ``r_i`` of the first kind and
``m_i`` the product of the ``M(P + i)`` of the second, the sets below ``C = P + c`` weigh at most

    odds(C) prod R(C) min(m_c (prod_i (1 + u_i) - 1), sum_i u_i m_i prod_(l>i) (1 + u_l))

over the later causes ``i`` and ``l``: either what ``c`` makes unlikely counts, or what the first
further cause does. Two choices are tried, all that can rise to the first kind or none, and the
lower bound holds.

Opened next are the children with the largest bounds, until what is left is `ENOUGH` or so many are
`OPENED`: counts, no clock, so that the same evidence always gives the same answer. What is left
below the others is estimated as if further causes did not interact and did to a set no more than
they do to the heaviest of all (which explains what there is to explain), never above its bound.

Source of the tree search: Henrion 1991, *Search-based methods to bound diagnostic probabilities in
very large belief nets*, UAI (from memory); the bound is the project's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.belief.network import Floats, Indices, Network

__all__ = ["Listing"]

#: sets opened at most
OPENED = 1_000

#: sets opened in one go: at least so many, and one for so many that are open
ROUND, SHARE = 100, 2

#: share of the listed weight that the others may have before no more is opened
ENOUGH = 1e-3


@dataclass(frozen=True)
class _Line:
    """A function of a finding's state, averaged over its states: ``top + steps @ below``."""

    top: float
    steps: Floats

    @classmethod
    def of(cls, values: Floats) -> _Line:
        return cls(float(values[-1]), values[:-1] - values[1:])

    def at(self, below: Floats) -> Floats:
        """(sets, 1) values."""
        return (self.top + below @ self.steps)[:, None]

    def with_one(self, below: Floats, miss: Floats) -> Floats:
        """(sets, causes) values with one more cause."""
        if len(self.steps) > 1:
            return np.asarray(self.top + (below * self.steps) @ miss.T)
        result: Floats = (below * self.steps) * miss.T
        result += self.top
        return result


@dataclass(frozen=True)
class _Finding:
    """A likelihood, what lies above it, and where its states are among the terms.

    ``rising`` is None where it never rises, and ``falling`` is the likelihood itself there.
    """

    likelihood: _Line
    rising: _Line | None
    falling: _Line
    columns: slice


class Listing:
    """The heaviest fault sets for one body of evidence.

    Parameters
    ----------
    network : causes and findings.
    odds : (n,) odds with any folded evidence.
    likelihoods : finding -> likelihood of each state, of evidence that is not folded.
    """

    def __init__(self, network: Network, odds: Floats, likelihoods: Mapping[int, Floats]) -> None:
        self._network = network
        self._findings, miss, self._leak = self._terms(likelihoods)
        alone = [f.likelihood.at(self._leak[None, f.columns]) for f in self._findings]
        self._bare = float(np.prod(alone))
        acts = (odds > 0.0) & (miss < 1.0).any(axis=1)
        # The causes that none of this evidence hangs on are as likely with any set as alone.
        self._outside: Indices = np.flatnonzero(~acts)
        self._outer_odds = odds[self._outside]
        inside = np.flatnonzero(acts)
        self._odds, self._miss = odds[inside], miss[inside]
        single, _ = self._children(self._leak[None])
        # Weighty causes first: their supersets then hang below few sets.
        order = np.argsort(-single[0], kind="stable")
        self._order: Indices = inside[order]
        self._odds, self._miss = self._odds[order], self._miss[order]
        self._grow()

    def _terms(self, likelihoods: Mapping[int, Floats]) -> tuple[list[_Finding], Floats, Floats]:
        """Each finding's likelihood as ``top + sum_s d_s * P(state <= s)``."""
        n = len(self._network.causes)
        findings = []
        miss, leak = [np.ones((n, 0))], [np.ones(0)]
        start = 0
        for f, likelihood in likelihoods.items():
            links = self._network.structure.links[f]
            columns = np.ones((n, len(likelihood) - 1))
            columns[links.parents] = links.below[:, :-1]
            miss.append(columns)
            leak.append(links.leak_below[:-1])
            line = _Line.of(likelihood)
            rises, falls = (likelihood[1:] > likelihood[:-1]).any(), (line.steps > 0.0).any()
            highest = np.maximum.accumulate(likelihood) if falls else likelihood
            rest = np.maximum.accumulate(likelihood[::-1])[::-1]
            stop = start + len(line.steps)
            findings.append(
                _Finding(
                    line,
                    _Line.of(highest) if rises else None,
                    _Line.of(rest) if rises else line,
                    slice(start, stop),
                )
            )
            start = stop
        return findings, np.concatenate(miss, axis=1), np.concatenate(leak)

    def _children(self, below: Floats) -> tuple[Floats, Floats]:
        """One more cause, for each of some sets.

        Parameters
        ----------
        below : (sets, terms) chance of staying below each term's state.

        Returns
        -------
        (sets, causes) the cause's odds times the likelihood, and the bound on what the sets with
        later causes besides weigh together, in the same scale.
        """
        odds, shape = self._odds, (len(below), len(self._odds))
        # products over the findings whose likelihood only falls, and over the others
        low, value, lid = np.ones(shape), np.ones(shape), np.ones(shape)
        high, floor = np.repeat(odds[None], len(below), axis=0), np.ones((len(below), 1))
        for finding in self._findings:
            here, miss = below[:, finding.columns], self._miss[:, finding.columns]
            if finding.rising is None:
                low *= finding.likelihood.with_one(here, miss)
                continue
            value *= finding.likelihood.with_one(here, miss)
            lid *= finding.falling.with_one(here, miss)
            high *= finding.rising.with_one(here, miss)
            floor *= finding.rising.at(here)
        with np.errstate(invalid="ignore", over="ignore"):
            rising = _beyond(high, _ratio(high, floor, np.inf), low)
        value *= low
        lid *= low
        return odds * value, np.fmin(rising, _beyond(odds, odds[None], lid))

    def _grow(self) -> None:
        """Open sets, and keep what is needed of them."""
        count = len(self._odds)
        members, own, below = np.zeros((1, count), dtype=bool), np.ones(1), self._leak[None]
        last, itself = np.full(1, -1), np.full(1, self._bare)
        weights, rests, ratios = (np.empty((0, count)) for _ in range(3))
        fresh = slice(0, 1)
        while True:
            weight, rest = self._children(below[fresh])
            ratio = weight * _ratio(own[fresh], itself, 0.0)[:, None]
            scale = own[fresh, None] * (np.arange(count) > last[:, None])
            weights = np.concatenate([weights, scale * weight])
            rests = np.concatenate([rests, scale * rest])
            ratios = np.concatenate([ratios, ratio])
            listed = self._whole(self._outer_odds, weights.sum())
            left = rests.sum() * (1.0 + np.expm1(np.log1p(self._outer_odds).sum()))
            if len(own) >= OPENED or left <= ENOUGH * listed:
                break
            flat = rests.reshape(-1)
            most = min(max(ROUND, len(own) // SHARE), OPENED - len(own))
            chosen = np.flatnonzero(flat > 0.5 * flat.mean())
            if len(chosen) > most:
                chosen = chosen[np.argpartition(-flat[chosen], most - 1)[:most]]
            flat[chosen] = 0.0
            row, last = np.divmod(chosen, count)
            itself = weights[row, last]
            added = members[row]
            added[np.arange(len(row)), last] = True
            fresh = slice(len(own), len(own) + len(row))
            members = np.concatenate([members, added])
            own = np.concatenate([own, own[row] * self._odds[last]])
            below = np.concatenate([below, below[row] * self._miss[last]])
        self._members, self._weights = members, weights
        heaviest = int(np.argmax(self._own_weights(own, below)))
        typical = np.where(members[heaviest], np.inf, ratios[heaviest])
        #: weight of the listed sets, and no more than so much in all the others
        self.listed, self.rest = float(listed), float(left)
        self._estimate(np.minimum(ratios, typical), rests)

    @property
    def slack(self) -> float:
        """Largest possible absolute error of any posterior."""
        return self.rest / (self.rest + self.listed)

    def _own_weights(self, own: Floats, below: Floats) -> Floats:
        """(sets,) weight of each opened set itself."""
        result = own.copy()
        for finding in self._findings:
            result *= finding.likelihood.at(below[:, finding.columns])[:, 0]
        return result

    def _whole(self, outer: Floats, some: Floats) -> Floats:
        """Weight of everything, from that of the sets with a cause that acts.

        ``outer`` are the odds of the causes that do not, along the last axis.
        """
        grown = np.expm1(np.log1p(outer).sum(axis=-1))
        return np.asarray(self._bare * (self._network.empty_weight + grown) + some * (1.0 + grown))

    def _estimate(self, ratios: Floats, rests: Floats) -> None:
        """Add what probably lies below the children that were not opened."""
        later = _later(np.log1p(ratios))
        below = self._weights * np.expm1(later)
        share = np.minimum(_ratio(rests, below, 0.0), 1.0)
        # weight at and below such children, and the part of it that each later cause has
        self._under = self._weights * share * np.exp(later)
        self._part = ratios / (1.0 + ratios)
        #: what probably lies in the sets that are not listed, as a share of everything
        self.unlisted = float((share * below).sum() / (self.listed + (share * below).sum()))
        self._weights = self._weights + share * below

    def total(self, factors: Floats) -> Floats:
        """Weight of the evidence.

        Parameters
        ----------
        factors : (batch, n) factors on the odds, 0..1.
        """
        some = (self._scale(factors) * (factors[:, self._order] @ self._weights.T)).sum(axis=1)
        return self._whole(factors[:, self._outside] * self._outer_odds, some)

    def marginals(self, factors: Floats) -> tuple[Floats, Floats]:
        """Weight of the evidence, and its part with each cause; ``factors`` as for `total`."""
        inner, outer = factors[:, self._order], factors[:, self._outside] * self._outer_odds
        scale = self._scale(factors)
        grown = scale * (inner @ self._weights.T)
        some = grown.sum(axis=1)
        inside = inner * (scale @ self._weights) + grown @ self._members
        for row, factor in enumerate(inner):
            earlier = np.cumsum(self._under * factor, axis=1)[:, :-1]
            inside[row, 1:] += factor[1:] * (scale[row] @ (earlier * self._part[:, 1:]))
        times = 1.0 + np.expm1(np.log1p(outer).sum(axis=1))[:, None]
        joint = np.empty_like(factors)
        joint[:, self._order] = inside * times
        joint[:, self._outside] = outer / (1.0 + outer) * (self._bare + some)[:, None] * times
        return self._whole(outer, some), joint

    def _scale(self, factors: Floats) -> Floats:
        """(batch, sets) product of the factors of each opened set's causes."""
        with np.errstate(divide="ignore"):
            logs = np.maximum(np.log(factors[:, self._order]), -700.0)
        return np.asarray(np.exp(logs @ self._members.T))


def _beyond(risen: Floats, grow: Floats, fallen: Floats) -> Floats:
    """(sets, causes) bound on what the sets with later causes besides weigh.

    ``risen`` and ``grow`` are what each cause makes of that which rises and by how much, both with
    its odds; ``fallen`` what it leaves of that which falls.
    """
    later = _later(np.log1p(grow))
    return risen * np.minimum(fallen * np.expm1(later), _later(grow * fallen * np.exp(later)))


def _later(values: Floats) -> Floats:
    """Sums over all later columns."""
    result = np.zeros_like(values)
    result[:, :-1] = np.cumsum(values[:, :0:-1], axis=1)[:, ::-1]
    return result


def _ratio(over: Floats, under: Floats, otherwise: float) -> Floats:
    """Division that takes what is divided by 0 as something else."""
    if (under > 0.0).all():
        return np.asarray(over / under)
    return np.asarray(np.divide(over, under, out=np.full(over.shape, otherwise), where=under > 0.0))
