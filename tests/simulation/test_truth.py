"""Draws of what is wrong follow the pack's prior."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from diagnose.belief.compiled import Compiled, compile_pack
from diagnose.knowledge.models import rate_at
from diagnose.simulation.truth import draw_set, sample_shock, sample_truth
from tests.real_pack import shop_knowledge


@pytest.fixture(scope="module")
def compiled() -> Compiled:
    return compile_pack(shop_knowledge())


def test_sets_come_as_often_as_their_weights_say() -> None:
    odds, empty, draws = np.array([0.5, 0.2, 1.0]), 0.7, 6_000
    rng = np.random.default_rng(1)
    seen: dict[tuple[int, ...], int] = {}
    for _ in range(draws):
        drawn = tuple(draw_set(odds, empty, rng))
        seen[drawn] = seen.get(drawn, 0) + 1
    sets = [c for n in range(4) for c in itertools.combinations(range(3), n)]
    weights = np.array([float(np.prod(odds[list(c)])) if c else empty for c in sets])
    for members, share in zip(sets, weights / weights.sum(), strict=True):
        # Four standard errors.
        error = 4.0 * np.sqrt(share * (1.0 - share) / draws)
        assert abs(seen.get(members, 0) / draws - share) <= error, members


def test_no_fault_and_second_faults_come_as_the_pack_states(compiled: Compiled) -> None:
    rng = np.random.default_rng(2)
    sizes = np.array([len(sample_truth(compiled, rng)) for _ in range(2000)])
    pack = compiled.knowledge.pack
    assert np.mean(sizes == 0) == pytest.approx(
        rate_at(pack.no_fault_per_1000, "counter") / 1000, abs=0.02
    )
    second = np.mean(sizes[sizes > 0] > 1)
    assert second == pytest.approx(pack.second_fault_per_100 / 100, abs=0.035)


def test_a_part_that_the_shock_lacks_is_never_at_fault(compiled: Compiled) -> None:
    rng = np.random.default_rng(3)
    features = dict.fromkeys(compiled.knowledge.pack.features, False)
    needing = {c.id for c in compiled.knowledge.causes.values() if True in c.needs.values()}
    assert needing
    drawn = set().union(*(sample_truth(compiled, rng, features) for _ in range(1500)))
    assert drawn and not drawn & needing


def test_shocks_have_every_field_that_rates_depend_on(compiled: Compiled) -> None:
    pack, rng = compiled.knowledge.pack, np.random.default_rng(4)
    shocks = [sample_shock(compiled, rng) for _ in range(400)]
    for context in pack.contexts.values():
        for band in context.bands:
            if band.value is not None:
                share = np.mean([shock[context.field] == band.value for shock in shocks])
                assert share == pytest.approx(band.share, abs=0.1)
    for name, share in pack.features.items():
        assert np.mean([shock[name] for shock in shocks]) == pytest.approx(share, abs=0.1)
