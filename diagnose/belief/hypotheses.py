"""Fault sets as a table, for whatever needs faults, answers and plans together.

Chances of causes and of a cure come from the exact sum (`lattice`). What a plan costs needs each
set by itself: `SetTable.whole` weighs every set of up to two causes. Looking ahead needs it many
thousand times, for which `SetTable.posterior` lists the likeliest few; what the list leaves out are
many sets that hardly count one by one, so that costs over the list are off by some units of money
where those over the whole table are off by less than one (tests/benchmarks/sets.py).
`Hypotheses.coverage` says how much of the weight a list holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import numpy as np
import numpy.typing as npt

from diagnose.belief.network import Evidence, Floats, Indices, Network

__all__ = ["Hypotheses", "SetTable", "likeliest"]

#: share of the weight that a list for looking ahead holds, and its sets at most
KEEP, MOST = 0.999, 460

Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Hypotheses:
    """Fault sets with posterior weights.

    Attributes
    ----------
    present : (sets, causes). weights : (sets,) sum 1 over the list.
    chances : (sets, sum of states) prior-to-evidence chance of each finding state in each set.
    coverage : share of the listed sets' weight in all that were considered.
    account : (sets,) number of the account of the job by which a set is weighed; a set may be
    listed by several.
    """

    present: Bools
    weights: Floats
    chances: Floats
    coverage: float
    account: Indices

    def scaled(self, share: float, account: int) -> Hypotheses:
        """The same sets as a part of a larger list."""
        marked = np.full(len(self.weights), account)
        return replace(self, weights=share * self.weights, account=marked)


def likeliest(tables: Sequence[Hypotheses], keep: float, most: int) -> Hypotheses:
    """The likeliest sets of whole tables, for looking ahead; see `SetTable.posterior`."""
    everything = np.concatenate([table.weights for table in tables])
    whole = float(everything.sum())
    order = np.argsort(everything)[::-1][:most]
    reached = np.cumsum(everything[order]) / whole
    order = order[: int(np.searchsorted(reached, keep)) + 1]
    rows, start = [], 0
    for table in tables:
        end = start + len(table.weights)
        rows.append(order[(order >= start) & (order < end)] - start)
        start = end
    present, kept, chances, account = (
        np.concatenate([getattr(t, name)[r] for t, r in zip(tables, rows, strict=True)])
        for name in ("present", "weights", "chances", "account")
    )
    return Hypotheses(present, kept / kept.sum(), chances, float(kept.sum()) / whole, account)


class SetTable:
    """All sets of up to two causes, with their finding chances, computed once.

    What is asked of it names the network of the shock in question: the same but for its prior.
    """

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

    def whole(self, network: Network, evidence: Evidence) -> tuple[Hypotheses, Hypotheses]:
        """Every set of up to two causes given evidence, and the triples of the likeliest causes.

        The weights of both together sum to 1; ``coverage`` is the share of each.
        """
        weights = self.weigh(network, evidence)
        top = np.argsort(weights @ self.present)[::-1][:9]
        triples = np.zeros((84, len(network.odds)), dtype=bool)
        for row, chosen in enumerate(combinations(top.tolist(), 3)):
            triples[row, list(chosen)] = True
        triples = triples[triples.any(axis=1)]
        chances = self.network.state_chances(triples)
        rest = _weigh(triples, chances, network, evidence)
        all_of_it = float(weights.sum() + rest.sum())
        weights, rest = weights / all_of_it, rest / all_of_it
        return (
            _believed(self.present, weights, self.chances),
            _believed(triples, rest, chances),
        )

    def posterior(
        self, network: Network, evidence: Evidence, keep: float = KEEP, most: int = MOST
    ) -> Hypotheses:
        """The likeliest sets given evidence.

        Parameters
        ----------
        network : that of this shock, with its prior.
        keep : share of the considered weight to keep. most : largest number of sets.
        """
        return likeliest(self.whole(network, evidence), keep, most)

    def weigh(self, network: Network, evidence: Evidence) -> Floats:
        """(sets,) unnormalised weights of all sets of up to two causes."""
        return _weigh(self.present, self.chances, network, evidence)


def _believed(present: Bools, weights: Floats, chances: Floats) -> Hypotheses:
    """A table of sets by the first account."""
    first = np.zeros(len(weights), dtype=np.intp)
    return Hypotheses(present, weights, chances, float(weights.sum()), first)


def _weigh(present: Bools, chances: Floats, network: Network, evidence: Evidence) -> Floats:
    with np.errstate(divide="ignore"):
        log = present @ np.maximum(np.log(network.odds), -700.0)
    log[~present.any(axis=1)] += np.log(network.empty_weight)
    weights: Floats = np.exp(log)
    for f, likelihood in evidence.items():
        start = int(network.state_offsets[f])
        weights = weights * (chances[:, start : start + len(likelihood)] @ likelihood)
    return weights
