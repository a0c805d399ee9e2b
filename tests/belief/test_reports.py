"""How far reports are believed."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.belief.reports import confusion, denial, reading_likelihood, text_likelihood
from tests.real_pack import shop_knowledge

CHANCE = st.floats(0.01, 0.99)
STATES = st.integers(2, 5)


@given(STATES, CHANCE, CHANCE, CHANCE)
def test_every_state_is_reported_as_something(
    states: int, hit: float, false_alarm: float, grade: float
) -> None:
    table = confusion(states, hit, false_alarm, grade)
    assert table.sum(axis=1) == pytest.approx(np.ones(states))
    assert np.all(table > 0)
    assert table[0, 0] == pytest.approx(1 - false_alarm)
    assert 1 - table[1, 0] == pytest.approx(hit)


@given(STATES, CHANCE, CHANCE, CHANCE)
def test_what_is_worse_is_missed_half_as_often(
    states: int, hit: float, false_alarm: float, grade: float
) -> None:
    missed = confusion(states, hit, false_alarm, grade)[1:, 0]
    assert missed[1:] == pytest.approx(missed[:-1] / 2)


def test_a_graded_report_by_hand() -> None:
    """Three states, hit 0.9, false alarm 0.03, grade 0.8: alarms 2 to 1; the worse seen at 0.95."""
    assert confusion(3, 0.9, 0.03, 0.8) == pytest.approx(
        np.array([[0.97, 0.02, 0.01], [0.1, 0.72, 0.18], [0.05, 0.19, 0.76]])
    )


MISREAD = 1e-3
PRIOR = np.array([0.9, 0.1])


def test_a_look_inside_that_denies_a_cause_by_hand() -> None:
    """Seen 94 times in a hundred where it is, 6 times in a thousand where it is not."""
    seen = shop_knowledge().pack.reporters.passed_on
    assert (seen.hit, seen.false_alarm) == (0.94, 0.006)
    assert denial(shop_knowledge()) == pytest.approx(0.06 / 0.994)


def test_words_that_were_not_understood_say_nothing() -> None:
    likelihood = text_likelihood(confusion(2, 0.9, 0.05, 0.9), 1, 0.0, PRIOR)
    assert likelihood == pytest.approx([1.0, 1.0])


@given(CHANCE, CHANCE)
def test_surer_words_say_more(less: float, more: float) -> None:
    table = confusion(2, 0.9, 0.05, 0.9)
    ratios = [
        row[1] / row[0]
        for row in (text_likelihood(table, 1, c, PRIOR) for c in sorted([less, more]))
    ]
    assert 1.0 <= ratios[0] <= ratios[1] <= 0.9 / 0.05 + 1e-9


@given(st.floats(-100, 200), st.floats(0, 50))
def test_a_reading_is_never_certain(value: float, uncertainty: float) -> None:
    means, deviations = np.array([0.0, 50.0, 100.0]), np.array([5.0, 10.0, 10.0])
    likelihood = reading_likelihood(value, uncertainty, means, deviations, MISREAD)
    assert likelihood.max() == 1.0
    assert likelihood.min() >= MISREAD


def test_a_reading_by_hand() -> None:
    """Normal densities at 1 of N(0, 1) and N(2, 1) are alike; at 0 they stand as 1 to e^-2."""
    means, deviations = np.array([0.0, 2.0]), np.ones(2)
    assert reading_likelihood(1.0, 0.0, means, deviations, MISREAD) == pytest.approx([1.0, 1.0])
    assert reading_likelihood(0.0, 0.0, means, deviations, MISREAD) == pytest.approx(
        [1.0, np.exp(-2)]
    )


def test_a_vaguer_reading_says_less() -> None:
    means, deviations = np.array([0.0, 10.0]), np.ones(2)
    ratios = [
        reading_likelihood(2.0, u, means, deviations, MISREAD)[1] for u in (0.0, 2.0, 5.0, 20.0)
    ]
    assert ratios == sorted(ratios)
    assert ratios[-1] > 0.5


def test_further_out_than_the_outermost_state_is_that_state() -> None:
    """A gauge at nothing is not above the maximum, however much that state spreads."""
    means, deviations = np.array([0.97, 1.3, 1.9]), np.array([0.11, 0.14, 0.3])
    assert reading_likelihood(0.0, 0.0, means, deviations, MISREAD).argmax() == 0
    assert reading_likelihood(9.0, 0.0, means, deviations, MISREAD).argmax() == 2
    # where states differ by their spread alone, far out is the one that spreads
    assert reading_likelihood(20.0, 0.0, np.zeros(2), np.array([3.0, 17.0]), MISREAD).argmax() == 1
