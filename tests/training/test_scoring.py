"""The score by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.training.scoring import Call, Lapse, Step, result_of

CALL = Call(
    work=("no_service",),
    causes=("x",),
    ride="ride",
    sure=0.8,
    best_work=("no_service",),
    best_ride="ride",
    work_regret=0.0,
    ride_regret=0.0,
    chance=0.7,
    right=True,
)


def step(regret: float) -> Step:
    return Step("x", "x", "splits", regret, 1.0, "y")


def test_the_score_is_the_best_cost_as_a_share_of_ones_own() -> None:
    # 100 of best cost; 15 of regret in steps, 5 for hints, 5 in the call: 100 / 125.
    call = replace(CALL, work_regret=5.0)
    result = result_of("c", "s", 100.0, [step(10.0), step(5.0)], [5.0], [], call)
    assert result.score == 80.0
    assert result.passed


def test_no_regret_is_100_and_many_regrets_never_go_below_0() -> None:
    assert result_of("c", "s", 50.0, [step(0.0)] * 9, [], [], CALL).score == 100.0
    assert 0.0 < result_of("c", "s", 50.0, [step(1e3)], [], [], CALL).score < 5.0


def test_one_lapse_is_not_outweighed() -> None:
    result = result_of("c", "s", 50.0, [step(0.0)], [], [Lapse("x", "y")], CALL)
    assert result.score == 100.0
    assert not result.passed


def test_confidence_is_scored_as_brier_did() -> None:
    assert CALL.brier == pytest.approx(0.04)
    assert replace(CALL, right=False).brier == pytest.approx(0.64)


def test_kinds_are_counted() -> None:
    result = result_of("c", "s", 50.0, [step(0.0), step(1.0)], [], [], CALL)
    assert result.kinds == {"splits": 2}
