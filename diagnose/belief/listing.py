"""Bounds where an exact sum would take too much room: the heaviest fault sets, and no more than
so much in all the others.

The idea
--------
Sets are grown cause by cause in one order, so that each has one parent. A set is *opened* when the
weights of all its children are computed. Below a child ``C`` that is not opened all sets together
weigh at most ``W(C) * k * (prod(1 + u_i) - 1)`` over the later causes ``i``, where ``u_i`` is the
odds times the factors by which ``i`` alone raises each finding's likelihood:

- A likelihood that falls with the states is never raised.
- One that rises is raised by less the larger the set is: its logarithm is a submodular function
  of the set. The factors at the opened parent therefore hold for all below.
- Any other is below its running maximum, which rises; ``k`` is how much that is above it at ``C``.

Opened next are the children with the largest bounds. What is left below the others is estimated as
if further causes did not interact, never above its bound.

Source of the tree search: Henrion 1991, *Search-based methods to bound diagnostic probabilities in
very large belief nets*, UAI (from memory); the bound is the project's own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.belief.network import Floats, Indices, Network

__all__ = ["Listing"]

#: sets opened at most, and in one go
OPENED, ROUND = 1_000, 250

#: share of the whole weight below which nothing more is opened
ENOUGH = 1e-10


@dataclass(frozen=True)
class _Finding:
    """``top + steps @ below`` is a likelihood, ``highest + rises @ below`` its running maximum."""

    top: float
    highest: float
    steps: Floats
    rises: Floats
    start: int
    stop: int

    @property
    def columns(self) -> slice:
        return slice(self.start, self.stop)

    @property
    def mixed(self) -> bool:
        return bool(np.any(self.steps > 0.0))


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
        self._findings, self._miss, self._leak = self._terms(likelihoods)
        alone = self._children(self._leak[None], odds)[0]
        # Weighty causes first: their supersets then hang below few sets.
        self._order: Indices = np.argsort(-alone[0], kind="stable")
        self._order = self._order[odds[self._order] > 0.0]
        self._odds = odds[self._order]
        self._miss = self._miss[self._order]
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
            steps, highest = likelihood[:-1] - likelihood[1:], np.maximum.accumulate(likelihood)
            rises = highest[:-1] - highest[1:]
            stop = start + len(steps)
            findings.append(
                _Finding(float(likelihood[-1]), float(highest[-1]), steps, rises, start, stop)
            )
            start = stop
        return findings, np.concatenate(miss, axis=1), np.concatenate(leak)

    def _children(self, below: Floats, odds: Floats) -> tuple[Floats, Floats, Floats]:
        """One more cause, for each of some sets.

        Parameters
        ----------
        below : (sets, terms) chance of staying below each term's state. odds : (causes,).

        Returns
        -------
        (sets, causes) odds times likelihood, then the bounds' ``u`` and ``k``.
        """
        weight = np.repeat(odds[None], len(below), axis=0)
        bound, excess = weight.copy(), np.ones_like(weight)
        for finding in self._findings:
            here, miss = below[:, finding.columns], self._miss[:, finding.columns]
            value = _value(finding.top, finding.steps, here, miss)
            weight *= value
            if not finding.rises.any():
                continue
            rising = value
            if finding.mixed:
                rising = _value(finding.highest, finding.rises, here, miss)
                excess *= _ratio(rising, value)
            bound *= _ratio(rising, (finding.highest + here @ finding.rises)[:, None])
        return weight, bound, excess

    def _grow(self) -> None:
        count = len(self._odds)
        bare = float(np.prod([f.top + self._leak[f.columns] @ f.steps for f in self._findings]))
        self._empty = self._network.empty_weight * bare
        members, below = np.zeros((OPENED, count), dtype=bool), np.empty((OPENED, len(self._leak)))
        own, last = np.ones(OPENED), np.full(OPENED, -1)
        weights, rests = np.zeros((OPENED, count)), np.zeros((OPENED, count))
        itself, ratios = np.full(OPENED, bare), np.zeros((OPENED, count))
        below[0] = self._leak
        start, stop = 0, 1
        listed = self._empty
        while True:
            fresh = slice(start, stop)
            weight, bound, excess = self._children(below[fresh], self._odds)
            ratios[fresh] = weight * (own[fresh] / itself[fresh])[:, None]
            weight *= own[fresh, None] * (np.arange(count) > last[fresh, None])
            later = _later(np.log1p(bound))
            weights[fresh] = weight
            with np.errstate(invalid="ignore", over="ignore"):
                rests[fresh] = np.where(weight > 0.0, weight * excess * np.expm1(later), 0.0)
            listed += float(weight.sum())
            opened = rests[:stop].reshape(-1)
            if stop == OPENED or opened.sum() <= ENOUGH * listed:
                break
            most = min(ROUND, OPENED - stop, len(opened))
            chosen = np.argpartition(-opened, most - 1)[:most]
            chosen = chosen[opened[chosen] > 0.0]
            opened[chosen] = 0.0
            row, cause = np.divmod(chosen, count)
            start, stop = stop, stop + len(chosen)
            members[start:stop] = members[row]
            members[np.arange(start, stop), cause] = True
            below[start:stop] = below[row] * self._miss[cause]
            own[start:stop] = own[row] * self._odds[cause]
            itself[start:stop] = weights[row, cause]
            last[start:stop] = cause
        self._members = members[:stop]
        self._weights = weights[:stop]
        self._estimate(ratios[:stop], rests[:stop])
        #: weight of the listed sets, and no more than so much in all the others
        self.listed, self.rest = listed, float(opened.sum())

    @property
    def slack(self) -> float:
        """Largest possible absolute error of any posterior."""
        return self.rest / (self.rest + self.listed) if np.isfinite(self.rest) else 1.0

    def _estimate(self, ratios: Floats, rests: Floats) -> None:
        """Add what probably lies below the children that were not opened."""
        later = _later(np.log1p(ratios))
        below = self._weights * np.expm1(later)
        share = np.divide(rests, below, out=np.zeros_like(below), where=below > 0.0)
        share = np.minimum(share, 1.0)
        below *= share
        # weight below earlier children, of which a later cause has its part
        earlier = np.cumsum(self._weights * share * np.exp(later), axis=1)[:, :-1]
        self._further = np.zeros_like(below)
        self._further[:, 1:] = earlier * (ratios / (1.0 + ratios))[:, 1:]
        self._weights = self._weights + below

    def sums(self, factors: Floats) -> tuple[Floats, Floats]:
        """Weight of the evidence, and its part with each cause.

        Parameters
        ----------
        factors : (batch, n) factors on the odds, 0..1.
        """
        factors = factors[:, self._order]
        with np.errstate(divide="ignore"):
            logs = np.maximum(np.log(factors), -700.0)
        scale = np.exp(logs @ self._members.T)
        grown = scale * (factors @ self._weights.T)
        joint = np.zeros((len(factors), len(self._network.causes)))
        joint[:, self._order] = factors * (scale @ (self._weights + self._further))
        joint[:, self._order] += grown @ self._members
        return self._empty + grown.sum(axis=1), joint

    def given_each(self, findings: Sequence[int]) -> tuple[Floats, Floats]:
        """As `Lattice.given_each`, over the listed sets."""
        network = self._network
        states = [network.findings[f].states for f in findings]
        size, n = max(states, default=1), len(network.causes)
        below = np.zeros((len(findings), size))
        miss = np.ones((len(findings), size, n))
        for place, f in enumerate(findings):
            links = network.structure.links[f]
            below[place] = 1.0
            below[place, : states[place]] = links.leak_below
            miss[place, : states[place], links.parents] = links.below
        total, joint = self.sums(miss.reshape(-1, n))
        weights = np.diff(below * total.reshape(len(findings), size), prepend=0.0)
        both = np.diff(below[:, :, None] * joint.reshape(miss.shape), axis=1, prepend=0.0)
        return np.maximum(weights, 0.0), np.maximum(both, 0.0)


def _later(logs: Floats) -> Floats:
    """Sums over all later columns."""
    result = np.zeros_like(logs)
    result[:, :-1] = np.cumsum(logs[:, :0:-1], axis=1)[:, ::-1]
    return result


def _value(top: float, steps: Floats, below: Floats, miss: Floats) -> Floats:
    """(sets, causes) likelihood with one more cause."""
    if len(steps) > 1:
        return np.asarray(top + (below * steps) @ miss.T)
    result: Floats = (below * steps) * miss.T
    result += top
    return result


def _ratio(over: Floats, under: Floats) -> Floats:
    """Division that takes what cannot be bounded as without bound."""
    return np.asarray(np.divide(over, under, out=np.full(over.shape, np.inf), where=under > 0.0))
