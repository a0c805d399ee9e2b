"""The compiled network: numbers only, no cards.

The model
---------
- A state of the world is the set ``S`` of present causes,
  ``P(S) = w**[S is empty] * prod(odds[i] for i in S) / Z``.
- A finding ``f`` has states ``0 .. k``. Cause ``i`` alone produces at least state ``s`` with
  chance ``at_least[s-1]``; causes and leak act independently and the finding shows the largest
  (leaky noisy-MAX; with two states leaky noisy-OR).
- Evidence on a finding is one likelihood for each state (reports and readings multiplied).

Sources: Pearl 1988, *Probabilistic Reasoning in Intelligent Systems*, 4.3.2 (noisy-OR); Diez 1993,
*Parameter adjustment in Bayes networks: the generalized noisy OR-gate*, UAI (noisy-MAX).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np
import numpy.typing as npt

from diagnose.belief.structure import FindingTable, Floats, Indices, Structure

__all__ = ["Evidence", "FindingTable", "Floats", "Indices", "Network"]

#: finding index -> likelihood of each state, not all zero
Evidence = Mapping[int, Floats]


class Network:
    """Causes with prior odds and findings with their parents.

    Parameters
    ----------
    causes : ids, in the order of ``odds``.
    odds : (n,) prior odds of each cause, >= 0; 0 removes a cause.
    empty_weight : weight of the empty set of causes, > 0.
    findings : one table a finding.
    """

    def __init__(
        self,
        causes: Sequence[str],
        odds: Floats,
        empty_weight: float,
        findings: Sequence[FindingTable],
    ) -> None:
        self.causes = tuple(causes)
        self.odds = np.asarray(odds, dtype=float)
        self.empty_weight = float(empty_weight)
        self.findings = tuple(findings)
        self.cause_index = {name: i for i, name in enumerate(self.causes)}
        self.finding_index = {table.name: i for i, table in enumerate(self.findings)}

    def with_odds(self, odds: Floats, empty_weight: float | None = None) -> Network:
        """The same network under other prior odds, and another weight of the empty set if named."""
        _ = self.structure  # computed here once, not again by every shock
        other = Network.__new__(Network)
        other.__dict__.update(self.__dict__)
        other.odds = np.asarray(odds, dtype=float)
        if empty_weight is not None:
            other.empty_weight = float(empty_weight)
        return other

    @cached_property
    def structure(self) -> Structure:
        """The findings as the exact sums use them, shared by all `with_odds`."""
        return Structure(self.findings)

    @cached_property
    def offsets(self) -> Indices:
        """Start of each finding's columns in `log_miss`, with the total at the end."""
        return np.cumsum([0, *(table.states - 1 for table in self.findings)])

    @cached_property
    def log_miss(self) -> Floats:
        """(causes, sum of k) log chance that a cause alone stays below state 1..k."""
        table = np.zeros((len(self.causes), int(self.offsets[-1])))
        for f, finding in enumerate(self.findings):
            if finding.parents:
                columns = slice(self.offsets[f], self.offsets[f + 1])
                table[np.array(finding.parents), columns] = np.log1p(-finding.at_least)
        return table

    @cached_property
    def log_leak_miss(self) -> Floats:
        """(sum of k,) log chance that the leak stays below state 1..k."""
        if not self.findings:
            return np.zeros(0)
        return np.concatenate([np.log1p(-table.leak) for table in self.findings])

    def state_chances(self, present: npt.NDArray[np.bool_]) -> Floats:
        """(sets, sum of states) chance of each state of each finding for given cause sets.

        ``present`` is (sets, causes). Columns of finding ``f`` start at ``state_offsets[f]``.
        """
        below = np.exp(present.astype(float) @ self.log_miss + self.log_leak_miss)
        result = np.empty((len(present), int(self.state_offsets[-1])))
        for f, finding in enumerate(self.findings):
            start, k = int(self.state_offsets[f]), finding.states - 1
            cumulative = below[:, int(self.offsets[f]) : int(self.offsets[f + 1])]
            result[:, start] = cumulative[:, 0]
            result[:, start + 1 : start + k] = np.diff(cumulative, axis=1)
            result[:, start + k] = 1.0 - cumulative[:, -1]
        return result

    @cached_property
    def state_offsets(self) -> Indices:
        """Start of each finding's columns in `state_chances`, with the total at the end."""
        return np.cumsum([0, *(table.states for table in self.findings)])
