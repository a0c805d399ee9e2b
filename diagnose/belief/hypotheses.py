"""Fault sets as a table, for whatever needs faults, answers and plans together.

Chances of causes and of a cure come from the exact sum (`lattice`). What a plan costs needs each
set by itself: `SetTable.whole` weighs every set of up to two causes. Looking ahead needs it many
thousand times, for which `SetTable.posterior` lists the likeliest few; what the list leaves out are
many sets that hardly count one by one, so that costs over the list are off by some units of money
where those over the whole table are off by less than one (tests/benchmarks/sets.py).
`Hypotheses.coverage` says how much of the weight a list holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
import numpy.typing as npt

from diagnose.belief.network import Evidence, Floats, Network

__all__ = ["Hypotheses", "SetTable"]

Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Hypotheses:
    """Fault sets with posterior weights.

    Attributes
    ----------
    present : (sets, causes). weights : (sets,) sum 1 over the list.
    chances : (sets, sum of states) prior-to-evidence chance of each finding state in each set.
    coverage : share of the listed sets' weight in all that were considered.
    """

    present: Bools
    weights: Floats
    chances: Floats
    coverage: float


class SetTable:
    """All sets of up to two causes of one network, with their finding chances, computed once."""

    def __init__(self, network: Network) -> None:
        self.network = network

    @cached_property
    def present(self) -> Bools:
        n = len(self.network.causes)
        pairs = np.array(list(combinations(range(n), 2)), dtype=int).reshape(-1, 2)
        table = np.zeros((1 + n + len(pairs), n), dtype=bool)
        table[np.arange(1, n + 1), np.arange(n)] = True
        rows = np.arange(n + 1, len(table))
        table[rows, pairs[:, 0]] = True
        table[rows, pairs[:, 1]] = True
        return table

    @cached_property
    def chances(self) -> Floats:
        return self.network.state_chances(self.present)

    def whole(self, odds: Floats, evidence: Evidence) -> Hypotheses:
        """Every set of up to two causes given evidence."""
        weights = self.weigh(odds, evidence)
        return Hypotheses(self.present, weights / weights.sum(), self.chances, 1.0)

    def posterior(
        self, odds: Floats, evidence: Evidence, keep: float = 0.999, most: int = 400
    ) -> Hypotheses:
        """The likeliest sets given evidence.

        Parameters
        ----------
        odds : (n,) prior odds of this shock.
        keep : share of the considered weight to keep. most : largest number of sets.
        """
        weights = self.weigh(odds, evidence)
        marginal = weights @ self.present
        top = np.argsort(marginal)[::-1][:9]
        triples = np.zeros((84, len(odds)), dtype=bool)
        for row, chosen in enumerate(combinations(top.tolist(), 3)):
            triples[row, list(chosen)] = True
        triples = triples[triples.any(axis=1)]
        triple_chances = self.network.state_chances(triples)
        triple_weights = self._weigh(triples, triple_chances, odds, evidence)
        everything = np.concatenate([weights, triple_weights])
        whole = float(everything.sum())
        order = np.argsort(everything)[::-1][:most]
        reached = np.cumsum(everything[order]) / whole
        order = order[: int(np.searchsorted(reached, keep)) + 1]
        base = len(weights)
        low, high = order[order < base], order[order >= base] - base
        present = np.concatenate([self.present[low], triples[high]])
        chances = np.concatenate([self.chances[low], triple_chances[high]])
        kept = np.concatenate([weights[low], triple_weights[high]])
        return Hypotheses(present, kept / kept.sum(), chances, float(kept.sum()) / whole)

    def weigh(self, odds: Floats, evidence: Evidence) -> Floats:
        """(sets,) unnormalised weights of all sets of up to two causes."""
        return self._weigh(self.present, self.chances, odds, evidence)

    def _weigh(self, present: Bools, chances: Floats, odds: Floats, evidence: Evidence) -> Floats:
        with np.errstate(divide="ignore"):
            log = present @ np.maximum(np.log(odds), -700.0)
        log[~present.any(axis=1)] += np.log(self.network.empty_weight)
        weights: Floats = np.exp(log)
        for f, likelihood in evidence.items():
            start = int(self.network.state_offsets[f])
            weights = weights * (chances[:, start : start + len(likelihood)] @ likelihood)
        return weights
