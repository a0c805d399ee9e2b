"""Findings as tables of numbers, and what the exact sums need of them that no shock changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

__all__ = ["FindingTable", "Floats", "Indices", "Links", "Structure"]

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]


@dataclass(frozen=True)
class FindingTable:
    """One finding: states, parents and what they produce.

    Attributes
    ----------
    name : id of the finding.
    leak : (k,) chance of at least state 1..k with no cause present, not rising.
    parents : cause indices.
    at_least : (parents, k) chance of at least state 1..k from that cause alone, not rising.
    """

    name: str
    leak: Floats
    parents: tuple[int, ...]
    at_least: Floats

    @property
    def states(self) -> int:
        return len(self.leak) + 1


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


class Structure:
    """The findings of a network as arrays."""

    def __init__(self, tables: Sequence[FindingTable]) -> None:
        self.links = tuple(_links(table) for table in tables)


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
