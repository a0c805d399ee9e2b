"""The figures of hearing, worked out by hand on rows made up for it."""

from __future__ import annotations

import pytest

from tests.hearing.rows import Row
from tests.hearing.score import Tally, Told, calibration, compared

HEALTHY = {"creak": "no", "oil": "none", "loss": "none"}
ROW = Row(
    "x",
    "no creak, loses air",
    (("creak", "no", "no creak"), ("loss", "slow", "loses air")),
    (("loss", "quick"), ("oil", "film")),
)


def test_right_wrong_allowed_and_flipped_are_told_apart() -> None:
    told = [Told("creak", "yes"), Told("loss", "slow"), Told("oil", "film"), Told("oil", "drops")]
    assert compared(ROW, told, HEALTHY) == Tally(
        right=1, wrong=2, flipped=1, allowed=1, said=2, talk=0, silent=0
    )


def test_talk_is_silent_only_without_any_reading() -> None:
    talk = Row("y", "when do you open", (), ())
    assert compared(talk, [], HEALTHY) == Tally(talk=1, silent=1)
    assert compared(talk, [Told("oil", "film")], HEALTHY) == Tally(wrong=1, talk=1)


def test_precision_recall_and_f1() -> None:
    tally = Tally(right=6, wrong=2, said=8) + Tally(said=4)
    assert (tally.precision, tally.recall) == (0.75, 0.5)
    assert tally.f1 == pytest.approx(0.6)
    assert Tally().f1 == 0


def test_a_chance_that_is_right_as_often_as_it_says_is_off_by_nothing() -> None:
    right, wrong = Told("loss", "slow", 0.5), Told("oil", "drops", 0.5)
    off, table = calibration([(ROW, [right, wrong])])
    assert (off, table) == (0, [(0.5, 0.5, 2)])
    off, _ = calibration([(ROW, [right, Told("oil", "film", 0.9)])])  # allowed: not counted
    assert off == 0.5
    assert calibration([]) == (0, [])
