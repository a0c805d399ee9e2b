"""Why a cause is believed: weights of evidence that add up to the shown log-odds.

The weight of a piece of evidence is the step of the cause's log-odds when it is taken away. Taken
away is always the piece whose loss lowers the log-odds most, given those that are left; so the
steps telescope, and prior and weights add up to the posterior log-odds exactly.

Source: Good 1950, *Probability and the Weighing of Evidence* (weight of evidence; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnose.belief.lattice import Lattice
from diagnose.belief.network import Evidence, Network

__all__ = ["Explanation", "Weight", "log_odds", "weights_of_evidence"]


@dataclass(frozen=True)
class Weight:
    """A finding and by how much its evidence raises the log-odds [natural units]."""

    finding: str
    weight: float


@dataclass(frozen=True)
class Explanation:
    """Prior log-odds of a cause and the weights of all evidence, the strongest first.

    ``log_odds`` = ``prior`` + the sum of all weights.
    """

    cause: str
    prior: float
    weights: tuple[Weight, ...]
    log_odds: float

    @property
    def carried_by_one(self) -> bool:
        """Whether one finding alone speaks for at least half of all that speaks for the cause."""
        spoken_for = [w.weight for w in self.weights if w.weight > 0.0]
        return bool(spoken_for) and max(spoken_for) >= 0.5 * sum(spoken_for)


def log_odds(network: Network, evidence: Evidence, cause: int) -> float:
    """Posterior log-odds of a cause: log of the weight with it over the weight without it.

    The weight without it is summed by itself, so that near-certainty loses no digits.
    """
    lattice = Lattice(network, evidence)
    absent = np.ones((1, len(network.causes)))
    absent[0, cause] = 0.0
    present = float(lattice.marginals()[1][0, cause])
    return float(np.log(present) - np.log(lattice.total(absent)[0]))


def weights_of_evidence(network: Network, evidence: Evidence, cause: str) -> Explanation:
    """Take the evidence on a cause apart.

    Parameters
    ----------
    network : with the odds of this shock. evidence : finding index -> likelihoods.

    Raises
    ------
    KeyError : no such cause.
    """
    index = network.cause_index[cause]
    left = dict(evidence)
    whole = now = log_odds(network, left, index)
    weights = []
    while left:
        without = {
            f: log_odds(network, {g: row for g, row in left.items() if g != f}, index) for f in left
        }
        strongest = min(without, key=lambda f: (without[f], f))
        weights.append(Weight(network.findings[strongest].name, now - without[strongest]))
        now = without[strongest]
        del left[strongest]
    return Explanation(cause, now, tuple(weights), whole)
