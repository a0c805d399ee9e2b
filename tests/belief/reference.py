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


def inclusion_exclusion(
    network: Network, evidence: Mapping[int, Floats], digits: int = 60
) -> tuple[mpmath.mpf, list[mpmath.mpf]]:
    """The same by signed sums over the evidence, exact to ``digits`` whatever cancels.

    Each finding's evidence is ``sum_s d_s * P(state <= s)`` with ``d_s = L_s - L_(s+1)``; for one
    choice of ``s`` at every finding the sum over fault sets factorises.
    """
    with mpmath.workdps(digits):
        n = len(network.causes)
        odds = [mpmath.mpf(float(o)) for o in network.odds]
        terms: list[tuple[mpmath.mpf, list[mpmath.mpf]]] = [
            (mpmath.mpf(1), [mpmath.mpf(1)] * n)
        ]
        for f, likelihood in evidence.items():
            table = network.findings[f]
            row = [mpmath.mpf(float(x)) for x in likelihood] + [mpmath.mpf(0)]
            grown = []
            for coefficient, factors in terms:
                for s in range(table.states):
                    d = row[s] - row[s + 1]
                    if d == 0:
                        continue
                    if s == table.states - 1:
                        grown.append((coefficient * d, factors))
                        continue
                    changed = list(factors)
                    for j, i in enumerate(table.parents):
                        changed[i] = changed[i] * (1 - mpmath.mpf(float(table.at_least[j, s])))
                    leak = 1 - mpmath.mpf(float(table.leak[s]))
                    grown.append((coefficient * d * leak, changed))
            terms = grown
        total = mpmath.mpf(0)
        joint = [mpmath.mpf(0)] * n
        weight = mpmath.mpf(network.empty_weight)
        for coefficient, factors in terms:
            products = [o * factor for o, factor in zip(odds, factors, strict=True)]
            whole = mpmath.fprod(1 + p for p in products)
            total += coefficient * (whole - 1 + weight)
            for i, p in enumerate(products):
                joint[i] += coefficient * whole * p / (1 + p)
        return total, joint
