"""What the exact sums need of the findings and that no shock changes, computed once.

`Telescope` takes 'finding g shows state t' apart into sums under other odds without a difference:
a product of chances of staying below telescopes over leak, first parent, second parent and so on,

    prod_j b_j(t) - prod_j b_j(t-1) = sum_j [prod_(l<j) b_l(t-1)] e_j(t) [prod_(l>j) b_l(t)]

with ``b_j(t)`` the chance that parent ``j`` produces at most state ``t`` and ``e_j(t)`` exactly
``t``. Term ``j`` is the weight of the evidence with cause ``j`` present and the odds of its fellow
parents scaled; every term is non-negative.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from diagnose.belief.network import FindingTable

__all__ = ["Floats", "Indices", "Links", "Structure", "Telescope"]

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Links:
    """A finding's table as the sums use it.

    Attributes
    ----------
    parents : (d,) cause indices.
    below : (d, k + 1) chance of at most state 0..k from each parent alone; the last is 1.
    exactly : (d, k + 1) chance of state 0..k from each parent alone.
    leak_below, leak_exactly : (k + 1,) the same for the leak.
    """

    parents: Indices
    below: Floats
    exactly: Floats
    leak_below: Floats
    leak_exactly: Floats


@dataclass(frozen=True)
class Telescope:
    """Rows, one for each term of each state of each finding, in that order.

    Attributes
    ----------
    finding, state : (rows,) what the row is a term of.
    coefficient : (rows,) factor, without the odds of the forced cause.
    forced : (rows,) cause that is present for sure, or -1 (the leak's own term).
    entry_row, entry_cause, entry_factor : (entries,) factors on the odds of all parents in a row;
    the forced cause has 0.
    """

    finding: Indices
    state: Indices
    coefficient: Floats
    forced: Indices
    entry_row: Indices
    entry_cause: Indices
    entry_factor: Floats

    def of(self, findings: Sequence[int]) -> Telescope:
        """The rows of these findings only; ``finding`` becomes the position in ``findings``."""
        position = np.full(int(self.finding.max(initial=-1)) + 1, -1)
        position[list(findings)] = np.arange(len(findings))
        place = position[self.finding]
        rows = np.flatnonzero(place >= 0)
        rows = rows[np.argsort(place[rows], kind="stable")]
        number = np.full(len(place), -1)
        number[rows] = np.arange(len(rows))
        entry = number[self.entry_row]
        kept = np.flatnonzero(entry >= 0)
        return Telescope(
            place[rows],
            self.state[rows],
            self.coefficient[rows],
            self.forced[rows],
            entry[kept],
            self.entry_cause[kept],
            self.entry_factor[kept],
        )


class Structure:
    """The findings of a network as arrays."""

    def __init__(self, tables: Sequence[FindingTable]) -> None:
        self.links = tuple(_links(table) for table in tables)

    @cached_property
    def telescope(self) -> Telescope:
        """Every state of every finding taken apart."""
        pieces = [_take_apart(links) for links in self.links]
        counts = [len(piece[0]) for piece in pieces]
        start = np.cumsum([0, *counts])
        state, coefficient, forced, factors = (
            [piece[column] for piece in pieces] for column in range(4)
        )
        sizes = [len(links.parents) for links in self.links]
        row_sizes = np.repeat(sizes, counts)
        return Telescope(
            np.repeat(np.arange(len(pieces)), counts),
            _join(state).astype(np.intp),
            _join(coefficient),
            _join(forced).astype(np.intp),
            np.repeat(np.arange(int(start[-1])), row_sizes),
            _join(
                [np.tile(links.parents, n) for links, n in zip(self.links, counts, strict=True)]
            ).astype(np.intp),
            _join([table.ravel() for table in factors]),
        )


def _join(parts: list[Floats]) -> Floats:
    return np.concatenate(parts) if parts else np.zeros(0)


def _links(table: FindingTable) -> Links:
    below, exactly = _split(table.at_least.reshape(len(table.parents), table.states - 1))
    leak_below, leak_exactly = _split(table.leak[None, :])
    parents = np.array(table.parents, dtype=np.intp)
    return Links(parents, below, exactly, leak_below[0], leak_exactly[0])


def _split(at_least: Floats) -> tuple[Floats, Floats]:
    """Chances of at most, and of exactly, each state from those of at least state 1..k."""
    edge = np.ones((len(at_least), 1))
    reached = np.concatenate([edge, at_least, 0.0 * edge], axis=1)
    return 1.0 - reached[:, 1:], reached[:, :-1] - reached[:, 1:]


def _take_apart(links: Links) -> tuple[Floats, Floats, Floats, Floats]:
    """States, coefficients, forced causes and (rows, d) factors of one finding's rows."""
    d, size = links.below.shape
    earlier = np.tri(d, k=-1, dtype=bool)
    state, coefficient, forced, factors = [], [], [], []
    for t in range(size):
        state.append(np.full(1 + d * (t > 0), t))
        coefficient.append(links.leak_exactly[t : t + 1])
        forced.append(np.array([-1]))
        factors.append(links.below[None, :, t])
        if t > 0:
            coefficient.append(links.leak_below[t - 1] * links.exactly[:, t])
            forced.append(links.parents)
            scaled = np.where(earlier, links.below[:, t - 1], links.below[:, t])
            np.fill_diagonal(scaled, 0.0)
            factors.append(scaled)
    return (
        np.concatenate(state),
        np.concatenate(coefficient),
        np.concatenate(forced),
        np.concatenate(factors),
    )
