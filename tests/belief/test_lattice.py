"""The exact sums against all fault sets one by one and against 60 digits.

Reaches belief.structure and belief.walk too.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.belief.lattice import Lattice
from diagnose.belief.network import FindingTable, Network
from tests.belief.reference import brute_force, random_network, seen, signed_sums, soft

SEEDS = st.integers(0, 2**32 - 1)


def small(seed: int) -> tuple[np.random.Generator, Network, dict[int, np.ndarray]]:
    """A network that can be listed, some causes ruled out, with any evidence."""
    rng = np.random.default_rng(seed)
    network = random_network(rng, 8, 10, (0, 6), most_states=int(rng.integers(2, 5)))
    odds = np.where(rng.random(8) < 0.15, 0.0, 10.0 ** rng.uniform(-6.0, 1.0, 8))
    network = Network(network.causes, odds, 10.0 ** rng.uniform(-6.0, 1.0), network.findings)
    chosen = rng.choice(10, int(rng.integers(0, 8)), replace=False)
    return rng, network, {int(f): soft(rng, network, int(f)) for f in chosen}


def largest_error(network: Network, evidence: dict[int, np.ndarray], digits: int = 60) -> float:
    """Largest absolute error of any posterior against so many digits."""
    total, joint = Lattice(network, evidence).marginals()
    true_total, true_joint = signed_sums(network, evidence, digits)
    pairs = zip(joint[0], true_joint, strict=True)
    return max(abs(float(j / total[0] - t / true_total)) for j, t in pairs)


@given(SEEDS)
@settings(max_examples=60)
def test_total_and_marginals_equal_the_sum_over_all_fault_sets(seed: int) -> None:
    rng, network, evidence = small(seed)
    factors = np.concatenate([np.ones((1, 8)), rng.uniform(0.0, 2.0, (2, 8))])
    lattice = Lattice(network, evidence)
    total, joint = lattice.marginals(factors)
    assert np.allclose(lattice.total(factors), total, rtol=1e-12, atol=0.0)
    for row, factor in enumerate(factors):
        weight, present = brute_force(network.with_odds(network.odds * factor), evidence)
        assert total[row] == pytest.approx(weight, rel=1e-11)
        assert np.abs(joint[row] - present).max() <= 1e-11 * weight


@given(SEEDS)
@settings(max_examples=40)
def test_the_signed_sums_agree_with_the_list_of_sets(seed: int) -> None:
    _, network, evidence = small(seed)
    weight, present = brute_force(network, evidence)
    total, joint = signed_sums(network, evidence)
    assert float(total) == pytest.approx(weight, rel=1e-9)
    assert np.abs(np.array([float(x) for x in joint]) - present).max() <= 1e-9 * weight


@pytest.mark.parametrize("positive", range(9))
def test_sixty_causes_are_exact_to_twelve_places_up_to_eight_positives(positive: int) -> None:
    rng = np.random.default_rng(positive)
    network = random_network(rng, 60, 150)
    assert largest_error(network, seen(rng, network, positive, 9)) <= 1e-12


@pytest.mark.parametrize("positive", [10, 12])
def test_many_positives_are_exact_to_nine_places(positive: int) -> None:
    rng = np.random.default_rng(positive)
    network = random_network(rng, 60, 150)
    assert largest_error(network, seen(rng, network, positive, 9)) <= 1e-9


@pytest.mark.long
@pytest.mark.parametrize("positive", [14, 17, 20])
def test_twenty_positives_are_exact_to_nine_places(positive: int) -> None:
    rng = np.random.default_rng(positive)
    network = random_network(rng, 60, 150)
    assert largest_error(network, seen(rng, network, positive, 9)) <= 1e-9


@pytest.mark.parametrize("odds", [1e-12, 1e-6, 1e2])
@pytest.mark.parametrize("leak", [1e-15, 1e-6])
@pytest.mark.parametrize("empty", [1e-9, 1.0])
def test_improbable_evidence_is_exact_to_twelve_places(
    odds: float, leak: float, empty: float
) -> None:
    """Evidence down to 1e-100, where the signed sums themselves need 300 digits."""
    rng = np.random.default_rng(4)
    network = random_network(rng, 60, 150)
    tables = [
        FindingTable(t.name, np.array([leak]), t.parents, t.at_least * (10.0 ** -(f % 4)))
        for f, t in enumerate(network.findings)
    ]
    unlikely = Network(network.causes, network.odds * odds, empty, tables)
    assert largest_error(unlikely, seen(rng, unlikely, 6, 9), digits=300) <= 1e-12


def test_evidence_that_cannot_be_has_no_weight() -> None:
    table = FindingTable("f", np.zeros(1), (0,), np.array([[0.5]]))
    network = Network(["c"], np.zeros(1), 1.0, [table])
    assert Lattice(network, {0: np.array([0.0, 1.0])}).total()[0] == 0.0


@pytest.mark.parametrize(("shared", "widest"), [(1, 1), (2, 8), (3, 8)])
def test_the_states_carried_are_those_that_two_causes_tie(shared: int, widest: int) -> None:
    """Causes of one finding alone never widen the carried table, nor does the one told apart."""
    tables = []
    for f in range(3):
        parents = (*range(shared), shared + 2 * f, shared + 1 + 2 * f)
        strengths = np.full((len(parents), 1), 0.5)
        tables.append(FindingTable(f"f{f}", np.array([0.01]), parents, strengths))
    network = Network([f"c{i}" for i in range(shared + 6)], np.full(shared + 6, 0.01), 1.0, tables)
    assert Lattice(network, {f: np.array([0.1, 1.0]) for f in range(3)}).widest == widest
    assert Lattice(network, {0: np.array([0.1, 1.0])}).widest == 1
