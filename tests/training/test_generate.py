"""Drawn scenarios: the same for a seed, something to complain of, pairs that look alike."""

from __future__ import annotations

import pytest

from diagnose.training.generate import contrast, contrasts, generate
from diagnose.training.moment import Coach


def test_a_seed_is_a_scenario(coach: Coach) -> None:
    assert generate(coach.compiled, 5) == generate(coach.compiled, 5)
    assert len({generate(coach.compiled, seed).complaint for seed in range(10)}) == 10


@pytest.mark.parametrize("seed", range(12))
def test_the_customer_says_what_is_so(coach: Coach, seed: int) -> None:
    scenario = generate(coach.compiled, seed)
    assert scenario.complaint
    assert scenario.counter
    for ask, state in scenario.counter.items():
        card = coach.knowledge.symptoms[ask]
        assert any(said in scenario.complaint for said in card.phrases[state])


def test_a_pair_has_one_complaint_and_two_truths(coach: Coach) -> None:
    pairs = contrasts(coach.compiled)
    assert len(pairs) > 50
    for pair in pairs[:4]:
        first, second = contrast(coach.compiled, pair, 1)
        assert first.complaint == second.complaint != ""
        assert first.truth + second.truth == pair
        assert (first.twin, second.twin) == (second.id, first.id)
