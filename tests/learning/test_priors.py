"""Rates from cards and counts: weights, sums, intervals, and whether learning learns."""

from __future__ import annotations

import doctest

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.learning import priors
from diagnose.learning.outcome import Outcome
from diagnose.learning.priors import WORTH, card_rates, interval, pooled, propose
from diagnose.learning.tally import Tally
from tests.reports.pages import knowledge

RATES = st.dictionaries(st.sampled_from("abcdef"), st.floats(0.01, 200), min_size=2)
COUNTS = st.dictionaries(st.sampled_from("abcdef"), st.floats(0, 500))


def kl(truth: np.ndarray, guess: np.ndarray) -> float:
    """Kullback-Leibler divergence of the guess from the truth [nat]."""
    return float(np.sum(truth * np.log(truth / guess)))


def test_the_examples_in_the_text_hold() -> None:
    tried = doctest.testmod(priors)
    assert tried.attempted > 0
    assert tried.failed == 0


@given(RATES, COUNTS)
def test_the_sum_of_rates_stays_and_none_vanishes(
    rates: dict[str, float], counts: dict[str, float]
) -> None:
    after = pooled(rates, counts)
    assert sum(after.values()) == pytest.approx(sum(rates.values()))
    assert min(after.values()) > 0.0


@given(RATES)
def test_no_jobs_change_nothing(rates: dict[str, float]) -> None:
    assert pooled(rates, {}) == pytest.approx(rates)


@given(RATES, COUNTS)
def test_a_cause_that_was_found_more_often_than_its_share_rises(
    rates: dict[str, float], counts: dict[str, float]
) -> None:
    seen = sum(counts.get(cause, 0.0) for cause in rates)
    for cause, after in pooled(rates, counts).items():
        over = counts.get(cause, 0.0) - seen * rates[cause] / sum(rates.values())
        if over > 1e-6:
            assert after > rates[cause]
        elif over < -1e-6:
            assert after < rates[cause]


def test_after_as_many_jobs_as_the_cards_are_worth_both_weigh_the_same() -> None:
    after = pooled({"a": 500.0, "b": 500.0}, {"a": WORTH})
    # (100 x 0.5 + 100) / 200 = 0.75
    assert after["a"] == pytest.approx(750.0)


def test_wilsons_interval_against_the_handbook() -> None:
    # Agresti & Coull 1998, The American Statistician 52, 119: 0 of n gives z^2 / (n + z^2) above.
    low, high = interval(0, 20)
    assert low == 0.0
    assert high == pytest.approx(1.96**2 / (20 + 1.96**2))


def test_a_proposal_says_its_counts_and_starts_from_the_cards() -> None:
    tally = Tally(knowledge())
    for _ in range(4):
        tally.add(Outcome(found=("can_seal_worn",)))
    tally.add(Outcome())
    proposal = propose(tally)
    line = proposal.lines[0]
    assert (line.cause, line.found, line.looked) == ("can_seal_worn", 4, 5)
    assert line.before == card_rates(knowledge())["can_seal_worn"]
    assert line.after > line.before
    assert set(proposal.rates) == set(knowledge().causes)


def test_learning_comes_nearer_to_shops_that_differ_as_the_cards_are_believed_to() -> None:
    """Shops drawn about the cards with the cards' own worth; mean divergence of 60 of them."""
    rates = card_rates(knowledge())
    prior = np.array(list(rates.values())) / sum(rates.values())
    rng = np.random.default_rng(7)
    means = []
    shops = rng.dirichlet(WORTH * prior, 60) + 1e-12
    for jobs in (0, 25, 100, 200):
        distances = []
        for truth in shops:
            truth = truth / truth.sum()
            found = dict(zip(rates, rng.multinomial(jobs, truth).astype(float), strict=True))
            guess = np.array(list(pooled(rates, found).values()))
            distances.append(kl(truth, guess / guess.sum()))
        means.append(np.mean(distances))
    assert means == sorted(means, reverse=True)
    assert means[3] < 0.6 * means[0]
