"""The likeliest fault sets beside the exact sum over all of them, on the shop's own cards."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.belief.compiled import compile_pack, network_for
from diagnose.belief.lattice import Lattice
from diagnose.belief.priors import shares
from diagnose.knowledge.models import Place
from tests.kettle import kettle_reasoner
from tests.real_pack import shop_reasoner

COMPILED = shop_reasoner().compiled
SETS = shop_reasoner().sets
NETWORK = COMPILED.network


def random_evidence(seed: int, count: int) -> dict[int, np.ndarray]:
    """Answers that one random cause would give, with the likelihoods of fair reporters."""
    rng = np.random.default_rng(seed)
    cause = int(rng.choice(len(NETWORK.causes) - 1))
    alone = np.arange(len(NETWORK.causes)) == cause
    chances = NETWORK.state_chances(alone[None])[0]
    linked = [f for f, table in enumerate(NETWORK.findings) if cause in table.parents]
    chosen = rng.permutation(linked)[:count]
    evidence = {}
    for f in chosen.tolist():
        start, end = NETWORK.state_offsets[f : f + 2]
        states = chances[int(start) : int(end)]
        likelihood = np.full(len(states), 0.1)
        likelihood[int(rng.choice(len(states), p=states / states.sum()))] = 1.0
        evidence[f] = likelihood
    return evidence


@pytest.mark.parametrize("seed", range(12))
def test_marginals_agree_with_the_exact_sum(seed: int) -> None:
    evidence = random_evidence(seed, 1 + seed % 6)
    network = network_for(COMPILED, {}, "bench" if seed % 2 else "counter")
    total, joint = Lattice(network, evidence).marginals()
    exact = joint[0] / total[0]
    tables = SETS.whole(network, evidence)
    whole = sum(table.weights @ table.present for table in tables)
    assert np.abs(whole / sum(table.weights.sum() for table in tables) - exact).max() < 0.015
    # One job in four has a second fault: the list leaves out up to a fifth of the weight, spread
    # over many sets (`MOST`).
    found = SETS.posterior(network, evidence)
    assert found.weights.sum() == pytest.approx(1.0)
    off = np.abs(found.weights @ found.present - exact).max()
    assert off < min(0.05, 1.0 - found.coverage + 0.015)


@pytest.mark.parametrize("seed", range(4))
def test_the_list_holds_the_share_that_it_names(seed: int) -> None:
    evidence = random_evidence(seed, 3)
    network = network_for(COMPILED, {})
    whole = SETS.posterior(network, evidence, keep=1.0, most=10**6)
    short = SETS.posterior(network, evidence, keep=0.9, most=10**6)
    assert whole.coverage == pytest.approx(1.0)
    assert 0.9 <= short.coverage < 1.0
    assert len(short.weights) < len(whole.weights)
    assert short.weights.min() >= whole.weights.min()


def test_no_more_sets_than_asked_for() -> None:
    found = SETS.posterior(network_for(COMPILED, {}), {}, keep=1.0, most=50)
    assert len(found.weights) == 50
    assert found.coverage < 1.0


def test_a_cause_that_this_shock_cannot_have_is_in_no_set() -> None:
    network = network_for(COMPILED, {"piggyback": False})
    found = SETS.posterior(network, {})
    assert (network.odds == 0.0).any()
    assert not found.present[:, network.odds == 0.0].any()


KETTLE = kettle_reasoner().compiled
#: place -> share of its jobs without a fault, as the kettle's pack says
PLACES: list[tuple[Place, float]] = [("counter", 0.1), ("bench", 0.04)]
SCALE = KETTLE.causes.index("limescale")


def test_each_place_holds_its_own_shares() -> None:
    for at, none in PLACES:
        network = network_for(KETTLE, {}, at)
        assert shares(network.odds, network.empty_weight) == pytest.approx((none, 0.1))


def test_a_cause_that_a_bench_hardly_meets_is_rarer_there_among_the_others() -> None:
    counter, bench = (network_for(KETTLE, {}, at).odds for at, _ in PLACES)
    ratio = (bench / bench[0]) / (counter / counter[0])
    assert ratio[SCALE] == pytest.approx(200 / 300)
    assert np.delete(ratio, SCALE) == pytest.approx(1.0)


def test_a_learned_rate_moves_both_places_alike() -> None:
    learned = compile_pack(KETTLE.knowledge, {"limescale": 150.0})
    for at, _ in PLACES:
        before, after = (network_for(c, {}, at).odds for c in (KETTLE, learned))
        moved = (after / after[0]) / (before / before[0])
        assert moved[SCALE] == pytest.approx(0.5)
        assert np.delete(moved, SCALE) == pytest.approx(1.0)
