"""How much an option tells of which plan is right, in bits.

A few steps of looking ahead do not see what many cheap questions are worth together. Where the
right plan is still open and no single question pays for itself, the question that tells most for
its price goes on.

Source: expected reduction of entropy, Shannon 1948; as a criterion for the next test Gorry &
Barnett 1968, *Experience with a model of sequential diagnosis*.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from diagnose.belief.network import Floats
from diagnose.strategy.lookahead import Option

__all__ = ["bits_told"]


def bits_told(weights: Floats, groups: npt.NDArray[np.intp], options: Sequence[Option]) -> Floats:
    """Expected reduction of the entropy of a grouping of the sets by each option [bit].

    Parameters
    ----------
    weights : (sets,) sum 1. groups : (sets,) group of each set, such as its right plan.

    Returns
    -------
    (options,) bits, 0 or more.

    >>> yes_no = Option("q", 1.0, np.array([[1.0, 0.0], [0.0, 1.0]]), "f")
    >>> bits_told(np.array([0.5, 0.5]), np.array([0, 1]), [yes_no]).tolist()
    [1.0]
    """
    member = np.zeros((len(weights), int(groups.max()) + 1))
    member[np.arange(len(weights)), groups] = weights
    before = _entropy(member.sum(axis=0, keepdims=True))[0]
    told = np.zeros(len(options))
    for n, option in enumerate(options):
        joint = option.outcomes.T @ member
        told[n] = before - float(_entropy(joint).sum())
    return np.maximum(told, 0.0)


def _entropy(joint: Floats) -> Floats:
    """(rows,) chance of each row times the entropy within it [bit]."""
    row = joint.sum(axis=1, keepdims=True)
    share = joint / np.maximum(row, 1e-300)
    result: Floats = -(joint * np.log2(np.maximum(share, 1e-300))).sum(axis=1)
    return result
