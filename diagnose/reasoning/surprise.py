"""How badly the answers of a job fit one another, and which of them stand out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.belief.hypotheses import SetTable
from diagnose.belief.network import Network
from diagnose.reasoning.evidence import Item

__all__ = ["SURPRISING", "Surprise", "surprise_of"]

#: conflict (log10) from which the answers are said not to fit one another
SURPRISING = 0.7


@dataclass(frozen=True)
class Surprise:
    """``conflict``: log10; positive: the answers do not fit one another. ``misfits``: what was
    asked for the answers that stand out, the worst first.
    """

    conflict: float = 0.0
    misfits: tuple[str, ...] = ()

    @property
    def suspects(self) -> list[str]:
        """The misfits, where the answers are said not to fit."""
        return list(self.misfits) if self.conflict >= SURPRISING else []


def surprise_of(sets: SetTable, network: Network, items: Sequence[Item]) -> Surprise:
    """How much less likely the answers are together than one by one, and which stand out.

    The conflict measure of Jensen et al. 1991, *Analysis in HUGIN of data conflict*:
    log10 of prod P(e_i) / P(e).
    """
    if len(items) < 2:
        return Surprise()
    prior = sets.weigh(network, {})
    prior = prior / prior.sum()
    columns = []
    for item in items:
        start = int(network.state_offsets[network.finding_index[item.finding]])
        likelihood = item.likelihood / max(1.0, float(item.likelihood.max()))
        columns.append(sets.chances[:, start : start + len(likelihood)] @ likelihood)
    table = np.array(columns)
    singles = table @ prior
    whole = float(np.prod(table, axis=0) @ prior)
    rest = np.array(
        [np.prod(np.delete(table, n, axis=0), axis=0) @ prior for n in range(len(items))]
    )
    log = float(np.log10(singles).sum() - np.log10(whole))
    # How much sooner one of its other answers was to be expected, given all the others: no
    # ranking finds a turned answer more often where any may be turned into any other.
    others = np.array([len(item.likelihood) - 1 for item in items])
    doubt = np.log10(np.maximum(rest / whole - 1.0, 1e-9) / others)
    order = np.argsort(-doubt)[:2]
    return Surprise(log, tuple(items[int(n)].ask for n in order if doubt[int(n)] > 0.5))
