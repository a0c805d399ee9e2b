"""Weights of evidence add up, come strongest first, and say when one answer carries the call."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.analysis.explanation import log_odds, weights_of_evidence
from diagnose.belief.network import FindingTable, Network
from tests.belief.reference import brute_force, random_network, soft

SEEDS = st.integers(0, 2**32 - 1)


@settings(max_examples=25)
@given(SEEDS)
def test_prior_and_weights_add_up_to_the_shown_log_odds(seed: int) -> None:
    rng = np.random.default_rng(seed)
    network = random_network(rng, 8, 6, most_states=3)
    evidence = {int(f): soft(rng, network, int(f)) for f in rng.choice(6, 4, replace=False)}
    total, joint = brute_force(network, evidence)
    for cause in (0, 5):
        told = weights_of_evidence(network, evidence, network.causes[cause])
        shown = math.log(joint[cause] / (total - joint[cause]))
        assert told.log_odds == pytest.approx(shown, abs=1e-9)
        assert abs(told.prior + sum(w.weight for w in told.weights) - shown) <= 1e-9
        assert {w.finding for w in told.weights} == {network.findings[f].name for f in evidence}


@settings(max_examples=15)
@given(SEEDS)
def test_the_first_weight_is_the_largest_loss(seed: int) -> None:
    rng = np.random.default_rng(seed)
    network = random_network(rng, 8, 6)
    evidence = {f: soft(rng, network, f) for f in range(4)}
    told = weights_of_evidence(network, evidence, network.causes[3])
    losses = []
    for f in evidence:
        rest = {g: row for g, row in evidence.items() if g != f}
        losses.append(told.log_odds - log_odds(network, rest, 3))
    assert told.weights[0].weight == pytest.approx(max(losses))


def test_near_certainty_keeps_its_digits() -> None:
    """Odds 1e14 : 1 in a posterior that prints as 1."""
    table = FindingTable("f", np.array([1e-15]), (0,), np.array([[0.5]]))
    network = Network(["c"], np.array([0.2]), 1.0, [table])
    evidence = {0: np.array([0.0, 1.0])}
    # odds x P(shown with it) / P(shown without it)
    expected = math.log(0.2 * (1.0 - 0.5 * (1.0 - 1e-15)) / 1e-15)
    assert log_odds(network, evidence, 0) == pytest.approx(expected, rel=1e-12)


def test_without_evidence_there_is_the_prior_alone() -> None:
    network = random_network(np.random.default_rng(1), 5, 3)
    told = weights_of_evidence(network, {}, network.causes[0])
    assert told.weights == () and told.prior == told.log_odds
    assert not told.carried_by_one


def test_one_strong_answer_carries_it_and_two_like_ones_do_not() -> None:
    tables = [FindingTable(f"f{i}", np.array([0.01]), (0,), np.array([[0.8]])) for i in range(3)]
    network = Network(["c"], np.array([0.02]), 1.0, tables)
    seen, hint = np.array([0.05, 1.0]), np.array([0.8, 1.0])
    assert weights_of_evidence(network, {0: seen, 1: hint}, "c").carried_by_one
    alike = weights_of_evidence(network, {0: seen, 1: seen, 2: seen}, "c")
    assert not alike.carried_by_one
