"""The network in the Bayesian Interchange Format, for general-purpose programs to read.

Modelling
---------
- A cause is a root with states ``absent`` and ``present``; states of findings are ``s0`` .. ``sk``.
- No node has more than three parents: a wide finding is a chain ``name__1``, ``name__2``, ..,
  ``name``, each node the largest of its forerunner and what up to two causes produce.
- The weight of the empty set of causes is evidence: a chain ``some_cause__i`` tells whether any
  cause is present, and its child `COUNTED` must be given as ``yes`` with every question.
- Reports and readings are virtual (likelihood) evidence on their findings.

Source of the format: Cozman 1996, *The Interchange Format for Bayesian Networks* (from memory).
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence

import numpy as np

from diagnose.belief.network import Floats, Network
from diagnose.belief.structure import Links
from diagnose.errors import InputError

__all__ = ["COUNTED", "to_bif"]

#: the node that must be observed as ``yes``
COUNTED = "counted"

_CAUSE = ("absent", "present")
_NO_YES = ("no", "yes")
_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


def to_bif(network: Network) -> str:
    """The network as one BIF text.

    Raises
    ------
    InputError : a name that the format cannot carry, or two nodes of one name.
    """
    names = [*network.causes, *(table.name for table in network.findings)]
    for name in names:
        if not _WORD.fullmatch(name):
            raise InputError(
                f"'{name}' cannot be written as BIF",
                where="export to BIF",
                next_step="use letters, digits and underscores",
            )
    if len(set(names)) < len(names):
        raise InputError(
            "a cause and a finding share a name",
            where="export to BIF",
            next_step="give each its own id",
        )
    parts = ["network diagnose {\n}\n"]
    for cause, odds in zip(network.causes, network.odds.tolist(), strict=True):
        parts.append(_variable(cause, _CAUSE))
        parts.append(_table(cause, [], [[1.0 / (1.0 + odds), odds / (1.0 + odds)]]))
    parts.extend(_empty_set(network))
    for table, links in zip(network.findings, network.structure.links, strict=True):
        parts.extend(_finding(table.name, [network.causes[i] for i in links.parents], links))
    return "".join(parts)


def _empty_set(network: Network) -> Iterator[str]:
    """Whether any cause is present, and the node that weighs it."""
    known: list[tuple[str, Sequence[str]]] = []
    for i, cause in enumerate(network.causes):
        name = f"some_cause__{i}"
        parents = [*known, (cause, _CAUSE)]
        rows = [[0.0, 1.0] if any(row) else [1.0, 0.0] for row in _rows(parents)]
        yield _variable(name, _NO_YES)
        yield _table(name, parents, rows)
        known = [(name, _NO_YES)]
    most = max(1.0, network.empty_weight)
    empty, some = network.empty_weight / most, 1.0 / most
    yield _variable(COUNTED, _NO_YES)
    yield _table(COUNTED, known, [[1.0 - empty, empty], [1.0 - some, some]])


def _finding(name: str, causes: Sequence[str], links: Links) -> Iterator[str]:
    """A finding, as a chain where it has more than three parents."""
    states = [f"s{s}" for s in range(len(links.leak_below))]
    count = len(causes)
    groups = [range(min(3, count)), *(range(j, min(j + 2, count)) for j in range(3, count, 2))]
    known: list[tuple[str, Sequence[str]]] = []
    for number, group in enumerate(groups, start=1):
        node = name if number == len(groups) else f"{name}__{number}"
        parents = [*known, *((causes[j], _CAUSE) for j in group)]
        rows = []
        for row in _rows(parents):
            so_far = row[0] if known else None
            present = [j for j, on in zip(group, row[len(known) :], strict=True) if on]
            rows.append(_largest(links, so_far, present).tolist())
        yield _variable(node, states)
        yield _table(node, parents, rows)
        known = [(node, states)]


def _largest(links: Links, so_far: int | None, present: Sequence[int]) -> Floats:
    """Chance of each state, from the leak or a known state, raised by the present causes."""
    if so_far is None:
        below, exactly = links.leak_below, links.leak_exactly
    else:
        exactly = np.zeros_like(links.leak_exactly)
        exactly[so_far] = 1.0
        below = np.cumsum(exactly)
    for j in present:
        raised = exactly * links.below[j]
        raised[1:] += links.exactly[j, 1:] * below[:-1]
        below, exactly = below * links.below[j], raised
    return exactly


def _rows(parents: Sequence[tuple[str, Sequence[str]]]) -> Iterator[tuple[int, ...]]:
    return itertools.product(*(range(len(states)) for _, states in parents))


def _variable(name: str, states: Sequence[str]) -> str:
    return f"variable {name} {{\n  type discrete [ {len(states)} ] {{ {', '.join(states)} }};\n}}\n"


def _table(
    name: str, parents: Sequence[tuple[str, Sequence[str]]], rows: Sequence[Sequence[float]]
) -> str:
    if not parents:
        return f"probability ( {name} ) {{\n  table {_numbers(rows[0])};\n}}\n"
    lines = [f"probability ( {name} | {', '.join(parent for parent, _ in parents)} ) {{\n"]
    for row, numbers in zip(_rows(parents), rows, strict=True):
        named = ", ".join(states[s] for (_, states), s in zip(parents, row, strict=True))
        lines.append(f"  ({named}) {_numbers(numbers)};\n")
    lines.append("}\n")
    return "".join(lines)


def _numbers(row: Sequence[float]) -> str:
    return ", ".join(repr(float(x)) for x in row)
