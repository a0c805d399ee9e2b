"""Slow, plain references: all fault sets one by one, in 60 digits or in floats."""

from __future__ import annotations

import itertools
from collections.abc import Mapping

import mpmath
import numpy as np

from diagnose.belief.network import FindingTable, Floats, Network


def random_network(
    rng: np.random.Generator,
    causes: int,
    findings: int,
    parents: tuple[int, int] = (2, 6),
    most_states: int = 2,
) -> Network:
    """A network with 2..most_states states a finding, as no workshop would have it."""
    tables = []
    for f in range(findings):
        k = int(rng.integers(1, most_states))
        count = min(causes, int(rng.integers(parents[0], parents[1] + 1)))
        chosen = tuple(sorted(int(i) for i in rng.choice(causes, count, replace=False)))
        at_least = -np.sort(-rng.uniform(0.05, 0.95, (count, k)), axis=1)
        leak = -np.sort(-rng.uniform(0.001, 0.05, k))
        tables.append(FindingTable(f"f{f}", leak, chosen, at_least))
    odds = rng.uniform(0.001, 0.03, causes)
    return Network([f"c{i}" for i in range(causes)], odds, 0.02, tables)


def brute_force(network: Network, evidence: Mapping[int, Floats]) -> tuple[float, Floats]:
    """Weight of the evidence and its part with each cause, by listing all 2**n sets."""
    n = len(network.causes)
    sets = np.array(list(itertools.product([False, True], repeat=n)))
    weights = np.prod(np.where(sets, network.odds, 1.0), axis=1)
    weights[~sets.any(axis=1)] *= network.empty_weight
    chances = network.state_chances(sets)
    for f, likelihood in evidence.items():
        start = int(network.state_offsets[f])
        weights = weights * (chances[:, start : start + len(likelihood)] @ likelihood)
    return float(weights.sum()), weights @ sets


def signed_sums(
    network: Network, evidence: Mapping[int, Floats], digits: int = 60
) -> tuple[mpmath.mpf, list[mpmath.mpf]]:
    """The same by signed sums over the evidence, exact to ``digits`` whatever cancels.

    Each finding's evidence is ``sum_s d_s * P(state <= s)`` with ``d_s = L_s - L_(s+1)``; for one
    choice of ``s`` at every finding the sum over fault sets is a product over causes. The choices
    are the axes of one table of numbers of so many digits.
    """
    with mpmath.workdps(digits):
        exact = np.frompyfunc(lambda x: mpmath.mpf(float(x)), 1, 1)
        axes = list(evidence)
        kept: dict[int, np.ndarray] = {}
        table = np.full((1,) * len(axes) + (1,), mpmath.mpf(1))
        for axis, f in enumerate(axes):
            row = exact(np.append(evidence[f], 0.0))
            leak = 1 - np.append(exact(network.findings[f].leak), mpmath.mpf(0))
            steps = row[:-1] - row[1:]
            kept[f] = steps != 0
            table = table * _along((steps * leak)[kept[f]], axis, len(axes))
        alone = []
        for i, odds in enumerate(network.odds):
            share = np.full((1,) * len(axes) + (1,), mpmath.mpf(float(odds)))
            for axis, f in enumerate(axes):
                parents = network.findings[f].parents
                if i in parents:
                    at_least = exact(network.findings[f].at_least[parents.index(i)])
                    miss = 1 - np.append(at_least, mpmath.mpf(0))
                    share = share * _along(miss[kept[f]], axis, len(axes))
            alone.append(share)
        # causes of one shape together first: the whole table is met once for each shape
        shapes: dict[tuple[int, ...], np.ndarray] = {}
        for share in alone:
            shapes[share.shape] = shapes.get(share.shape, 1) * (1 + share)
        whole = table
        for product in shapes.values():
            whole = whole * product
        left = {
            shape: whole.sum(axis=tuple(a for a, k in enumerate(shape) if k == 1), keepdims=True)
            for shape in shapes
        }
        total = whole.sum() + table.sum() * (mpmath.mpf(network.empty_weight) - 1)
        joint = [(left[share.shape] * share / (1 + share)).sum() for share in alone]
        return total, joint


def _along(values: np.ndarray, axis: int, axes: int) -> np.ndarray:
    """Values as a table that varies along one axis; one axis more, so that there is always one."""
    return values.reshape([len(values) if a == axis else 1 for a in range(axes + 1)])


def hard(network: Network, finding: int, state: int) -> Floats:
    """Evidence that a finding shows a state for certain."""
    likelihood = np.zeros(network.findings[finding].states)
    likelihood[state] = 1.0
    return likelihood


def soft(rng: np.random.Generator, network: Network, finding: int) -> Floats:
    """Random evidence: certain, nearly certain or vague."""
    states = network.findings[finding].states
    if rng.random() < 0.4:
        return hard(network, finding, int(rng.integers(states)))
    return np.asarray(10.0 ** rng.uniform(-4.0, 0.0, states))


def seen(
    rng: np.random.Generator, network: Network, positive: int, negative: int
) -> dict[int, Floats]:
    """So many findings seen for certain and so many certainly absent."""
    chosen = rng.choice(len(network.findings), positive + negative, replace=False)
    return {int(f): hard(network, int(f), int(n < positive)) for n, f in enumerate(chosen)}
