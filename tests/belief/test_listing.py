"""The bounds on posteriors where the exact sum would take too much room."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.belief import lattice, listing
from diagnose.belief.lattice import Lattice
from diagnose.belief.listing import Listing
from diagnose.belief.network import FindingTable, Floats, Network
from tests.belief.reference import brute_force, random_network, soft

ONES = np.ones((1, 9))


def dense(seed: int) -> tuple[np.random.Generator, Network, dict[int, Floats]]:
    """Every finding hangs on most causes; half the likelihoods are vague, some neither rise nor
    fall with the states."""
    rng = np.random.default_rng(seed)
    network = random_network(rng, 9, 8, (4, 9), most_states=4)
    network = network.with_odds(10.0 ** rng.uniform(-4.0, 0.5, 9))
    chosen = rng.choice(8, int(rng.integers(1, 8)), replace=False)
    return rng, network, {int(f): soft(rng, network, int(f)) for f in chosen}


@pytest.fixture(params=[1, 4, 40])
def few(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Open so few sets that much is left to the bound."""
    monkeypatch.setattr(listing, "OPENED", request.param)
    monkeypatch.setattr(listing, "ROUND", 3)
    monkeypatch.setattr(listing, "ENOUGH", 0.0)


@pytest.fixture
def all_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """Open sets until next to nothing is left."""
    monkeypatch.setattr(listing, "ENOUGH", 1e-10)


@pytest.mark.usefixtures("few")
@pytest.mark.parametrize("seed", range(30))
def test_the_true_weights_and_posteriors_lie_within_the_bounds(seed: int) -> None:
    rng, network, evidence = dense(seed)
    bounded = Listing(network, network.odds, evidence)
    factors = np.concatenate([ONES, rng.uniform(0.0, 1.0, (2, 9))])
    totals, joints = bounded.marginals(factors)
    most = bounded.rest * (1.0 + 1e-11)
    for row, factor in enumerate(factors):
        weight, present = brute_force(network.with_odds(network.odds * factor), evidence)
        noise = 1e-9 * weight
        assert abs(totals[row] - weight) <= most + noise
        assert np.abs(joints[row] - present).max() <= most + noise
        assert (joints[row] <= totals[row] * (1.0 + 1e-12)).all()
        assert bounded.total(factors)[row] == pytest.approx(totals[row], rel=1e-12)
        if row == 0:
            assert bounded.listed - noise <= weight <= bounded.listed + most + noise
            error = np.abs(joints[0] / totals[0] - present / weight).max()
            assert error <= bounded.slack + 1e-9


@pytest.mark.usefixtures("all_of_them")
@given(st.integers(0, 2**32 - 1))
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_opening_every_set_is_exact(seed: int) -> None:
    _, network, evidence = dense(seed)
    bounded = Listing(network, network.odds, evidence)
    weight, present = brute_force(network, evidence)
    total, joint = bounded.marginals(ONES)
    assert bounded.slack <= 1e-9
    assert total[0] == pytest.approx(weight, rel=1e-8)
    assert np.abs(joint[0] - present).max() <= 1e-8 * weight


@pytest.mark.parametrize("seed", range(20))
def test_sets_are_opened_until_the_others_have_a_thousandth_at_most(seed: int) -> None:
    _, network, evidence = dense(seed)
    bounded = Listing(network, network.odds, evidence)
    assert bounded.slack <= listing.ENOUGH
    weight, present = brute_force(network, evidence)
    total, joint = bounded.marginals(ONES)
    assert np.abs(joint[0] / total[0] - present / weight).max() <= bounded.slack


@pytest.mark.usefixtures("few")
def test_a_set_that_the_evidence_rules_out_still_has_weighty_sets_below_it() -> None:
    """Seen for certain, never by itself: alone, a cause of the other finding has no weight."""
    tables = [FindingTable(f"f{f}", np.zeros(1), (f, 2), np.full((2, 1), 0.5)) for f in range(2)]
    network = Network(["a", "b", "both"], np.full(3, 0.1), 1.0, tables)
    evidence = {0: np.array([0.0, 1.0]), 1: np.array([0.0, 1.0])}
    bounded = Listing(network, network.odds, evidence)
    weight, _ = brute_force(network, evidence)
    assert bounded.listed <= weight * (1.0 + 1e-12) <= (bounded.listed + bounded.rest) * (1 + 1e-11)


@pytest.mark.usefixtures("all_of_them")
@pytest.mark.parametrize("seed", range(10))
def test_a_lattice_that_would_explode_answers_within_its_slack(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same questions asked of the exact sum and of the bounded one."""
    rng, network, evidence = dense(seed)
    factors = rng.uniform(0.5, 1.5, (3, 9))
    exact = Lattice(network, evidence)
    assert exact.slack == 0.0
    monkeypatch.setattr(lattice, "EXACT", 0)
    bounded = Lattice(network, evidence)
    assert bounded.slack <= 1e-6
    assert bounded.total(factors) == pytest.approx(exact.total(factors), rel=1e-6)
    for ours, theirs in zip(bounded.marginals(factors), exact.marginals(factors), strict=True):
        assert ours == pytest.approx(theirs, rel=1e-6, abs=1e-6 * exact.total()[0])


def test_twenty_vague_findings_on_dense_knowledge_stay_small() -> None:
    """A hundred causes, each finding on up to fifty: no table beyond the limit, a real bound."""
    rng = np.random.default_rng(3)
    network = random_network(rng, 100, 40, (10, 50), most_states=3)
    network = network.with_odds(np.full(100, 0.002))
    evidence = {f: np.linspace(1.0, 0.2, network.findings[f].states) for f in range(20)}
    bounded = Lattice(network, evidence)
    assert bounded.widest > lattice.EXACT
    assert 0.0 < bounded.slack < 0.01
    total, joint = bounded.marginals()
    assert ((joint >= 0.0) & (joint <= total[:, None])).all()
