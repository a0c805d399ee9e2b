"""One-way functions are exact at every value, for every kind of number."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.analysis.sensitivity import Number, neighbours, sensitivity
from diagnose.belief.network import Network
from tests.belief.reference import brute_force, random_network, soft


def moved(network: Network, number: Number, value: float) -> Network:
    """The network with one number at another value, changed the plain way."""
    if number.kind == "odds":
        odds = network.odds.copy()
        odds[network.cause_index[number.cause]] = value
        return network.with_odds(odds)
    tables = list(network.findings)
    f = network.finding_index[number.finding]
    leak, at_least = tables[f].leak.copy(), tables[f].at_least.copy()
    if number.kind == "leak":
        leak[number.state - 1] = value
    else:
        row = tables[f].parents.index(network.cause_index[number.cause])
        at_least[row, number.state - 1] = value
    tables[f] = replace(tables[f], leak=leak, at_least=at_least)
    return Network(network.causes, network.odds, network.empty_weight, tables)


@settings(max_examples=6)
@given(st.integers(0, 2**32 - 1))
def test_the_function_is_the_posterior_at_every_value(seed: int) -> None:
    rng = np.random.default_rng(seed)
    network = random_network(rng, 6, 4, parents=(2, 4), most_states=3)
    evidence = {f: soft(rng, network, f) for f in (0, 2, 3)}
    functions = sensitivity(network, evidence)
    assert {f.number.kind for f in functions} == {"odds", "link", "leak"}
    for function in functions:
        number = function.number
        high = min(number.high, 3.0)
        for share in (0.1, 0.6):
            value = number.low + share * (high - number.low)
            total, joint = brute_force(moved(network, number, value), evidence)
            assert function.at(value) == pytest.approx(joint / total, rel=1e-6, abs=1e-12)


def test_numbers_without_bearing_are_left_out() -> None:
    network = random_network(np.random.default_rng(2), 6, 4)
    functions = sensitivity(network, {1: np.array([0.2, 1.0])})
    assert {f.number.finding for f in functions if f.number.kind != "odds"} == {"f1"}


def test_the_ends_of_the_scale_have_one_neighbour() -> None:
    assert neighbours([0.1, 0.5, 0.9], 0.1) == [0.5]
    assert neighbours([0.1, 0.5, 0.9], 0.9) == [0.5]
    assert neighbours([0.1, 0.5, 0.9], 0.95) == [0.9]
