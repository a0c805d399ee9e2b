"""Simulated jobs are played through; calibration tells true chances from wrong ones."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.reasoning.reasoner import Reasoner
from tests.benchmarks.simulated import calibration, play_jobs
from tests.benchmarks.world import Nature
from tests.real_pack import shop_reasoner


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    return shop_reasoner()


def test_jobs_are_played_alike_from_one_seed(reasoner: Reasoner) -> None:
    played = play_jobs(reasoner, 4, seed=3)
    assert played == play_jobs(reasoner, 4, seed=3)
    for job in played:
        assert job.avoidable >= job.spent >= 0.0
        assert len(set(job.asked)) == len(job.asked)
        assert 0.0 < job.cures < 1.0 and 0.0 < job.cured <= 1.0
        assert job.plan
    assert any(job.asked for job in played)


def test_where_nobody_knows_anything_nothing_but_the_words_counts(reasoner: Reasoner) -> None:
    silent = play_jobs(reasoner, 2, seed=3, nature=Nature(not_sure=1.0))
    plain = play_jobs(reasoner, 2, seed=3)
    assert [job.truth for job in silent] == [job.truth for job in plain]
    assert all(job.spent > 0.0 for job in silent if job.asked)


def test_true_chances_are_as_far_off_as_the_noise_floor() -> None:
    rng = np.random.default_rng(1)
    stated = rng.random(3000)
    met = rng.random(3000) < stated
    told = calibration(stated.tolist(), met.tolist())
    assert len(told.stated) == 15
    assert told.error < 2.0 * told.floor


def test_chances_said_too_high_are_noticed() -> None:
    rng = np.random.default_rng(2)
    stated = 0.5 + 0.5 * rng.random(3000)
    met = rng.random(3000) < stated - 0.2
    told = calibration(stated.tolist(), met.tolist())
    assert told.error == pytest.approx(0.2, abs=0.04)
    assert told.error > 4.0 * told.floor
