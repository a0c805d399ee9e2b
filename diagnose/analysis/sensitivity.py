"""What each number does to a diagnosis: exact functions of one number at a time.

Every weight of evidence is linear in each single chance and in each single odds, so a posterior is
a ratio of two linear functions of any one number; two evaluations fix it for all values.

Source: Castillo, Gutierrez & Hadi 1997, *Sensitivity analysis in discrete Bayesian networks*, IEEE
Transactions on Systems, Man, and Cybernetics 27(4) (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from diagnose.belief.lattice import Lattice
from diagnose.belief.network import Evidence, FindingTable, Floats, Network

__all__ = ["Number", "OneWay", "neighbours", "sensitivity"]


@dataclass(frozen=True)
class Number:
    """One number of a network.

    Attributes
    ----------
    kind : odds of a cause, chance of a link, or leak. cause, finding : ids, empty where they do not
    apply. state : the chance is that of at least this state (1..k), 0 for odds. value : as it is.
    low, high : what it may be moved to with its neighbours in place.
    """

    kind: Literal["odds", "link", "leak"]
    cause: str
    finding: str
    state: int
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class OneWay:
    """Posteriors as functions of one number ``x``: (joint0 + joint1 x) / (total0 + total1 x).

    Attributes
    ----------
    joint0, joint1 : (n,) by cause. total0, total1 : numbers.
    """

    number: Number
    joint0: Floats
    joint1: Floats
    total0: float
    total1: float

    def at(self, value: float) -> Floats:
        """(n,) posterior of each cause with the number at this value."""
        result: Floats = (self.joint0 + self.joint1 * value) / (self.total0 + self.total1 * value)
        return result


def sensitivity(network: Network, evidence: Evidence) -> list[OneWay]:
    """The functions of every number that bears on this evidence.

    Links to and leaks of findings without evidence do nothing and are left out; so are causes whose
    odds are 0.
    """
    # Findings without evidence sum to 1 and need not be carried along.
    tables = [network.findings[f] for f in evidence]
    network = Network(network.causes, network.odds, network.empty_weight, tables)
    evidence = dict(enumerate(evidence.values()))
    result = list(_of_odds(network, evidence))
    for f in evidence:
        table = network.findings[f]
        for row, parent in enumerate((*table.parents, None)):
            values = table.leak if parent is None else table.at_least[row]
            for s in range(len(values)):
                number = Number(
                    "leak" if parent is None else "link",
                    "" if parent is None else network.causes[parent],
                    table.name,
                    s + 1,
                    float(values[s]),
                    float(values[s + 1]) if s + 1 < len(values) else 0.0,
                    float(values[s - 1]) if s else 1.0,
                )
                result.append(_of_chance(network, evidence, f, row, number))
    return result


def _of_odds(network: Network, evidence: Evidence) -> Iterator[OneWay]:
    """All odds at once: each cause away, and doubled."""
    n = len(network.causes)
    some = np.flatnonzero(network.odds > 0.0)
    factors = np.ones((2 * len(some), n))
    factors[np.arange(len(some)), some] = 0.0
    factors[len(some) + np.arange(len(some)), some] = 2.0
    totals, joints = Lattice(network, evidence).marginals(factors)
    for k, i in enumerate(some.tolist()):
        value = float(network.odds[i])
        number = Number("odds", network.causes[i], "", 0, value, 0.0, np.inf)
        away, twice = k, len(some) + k
        yield OneWay(
            number,
            joints[away],
            (joints[twice] - joints[away]) / (2.0 * value),
            float(totals[away]),
            float((totals[twice] - totals[away]) / (2.0 * value)),
        )


def _of_chance(
    network: Network, evidence: Evidence, finding: int, row: int, number: Number
) -> OneWay:
    low, high = number.low, min(number.high, 1.0 - 1e-9)
    if high - low < 1e-9:  # no room between its neighbours: all three are one number
        totals, joints = Lattice(network, evidence).marginals()
        return OneWay(number, joints[0], 0.0 * joints[0], float(totals[0]), 0.0)
    (total_low, joint_low), (total_high, joint_high) = (
        _weights(network, evidence, finding, row, number, value) for value in (low, high)
    )
    slope, rise = (joint_high - joint_low) / (high - low), (total_high - total_low) / (high - low)
    return OneWay(number, joint_low - slope * low, slope, total_low - rise * low, rise)


def _weights(
    network: Network, evidence: Evidence, finding: int, row: int, number: Number, value: float
) -> tuple[float, Floats]:
    """Weight of the evidence and its part with each cause, with one chance at another value."""
    table = network.findings[finding]
    if number.kind == "leak":
        leak = table.leak.copy()
        leak[number.state - 1] = value
        table = replace(table, leak=leak)
    else:
        at_least = table.at_least.copy()
        at_least[row, number.state - 1] = value
        table = replace(table, at_least=at_least)
    totals, joints = Lattice(_with_table(network, finding, table), evidence).marginals()
    return float(totals[0]), joints[0]


def _with_table(network: Network, finding: int, table: FindingTable) -> Network:
    tables = list(network.findings)
    tables[finding] = table
    return Network(network.causes, network.odds, network.empty_weight, tables)


def neighbours(scale: Sequence[float], value: float) -> list[float]:
    """The next words of a verbal scale below and above a chance.

    >>> neighbours([0.01, 0.05, 0.2, 0.5, 0.75, 0.9, 0.97], 0.2)
    [0.05, 0.5]
    >>> neighbours([0.01, 0.05, 0.2, 0.5, 0.75, 0.9, 0.97], 0.3)
    [0.2, 0.5]
    """
    below = [v for v in scale if v < value * (1.0 - 1e-9)]
    above = [v for v in scale if v > value * (1.0 + 1e-9)]
    return [*([max(below)] if below else []), *([min(above)] if above else [])]
