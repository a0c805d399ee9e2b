"""Findings given causes: published tables of noisy-OR, and what the arrays promise."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.belief.lattice import Lattice
from diagnose.belief.network import FindingTable, Network
from diagnose.belief.priors import scale_odds, shares
from tests.belief.reference import random_network


def fever() -> Network:
    """Russell & Norvig, *Artificial Intelligence: A Modern Approach*, the noisy-OR of fever.

    Each cause alone fails to bring fever with chance 0.6 (cold), 0.2 (flu), 0.1 (malaria); no
    leak. Table checked against university slides that reprint it.
    """
    strengths = np.array([[0.4], [0.8], [0.9]])
    table = FindingTable("fever", np.zeros(1), (0, 1, 2), strengths)
    return Network(["cold", "flu", "malaria"], np.ones(3), 1.0, [table])


@pytest.mark.parametrize(
    ("present", "without"),
    [
        ((0, 0, 0), 1.0), ((0, 0, 1), 0.1), ((0, 1, 0), 0.2), ((0, 1, 1), 0.02),
        ((1, 0, 0), 0.6), ((1, 0, 1), 0.06), ((1, 1, 0), 0.12), ((1, 1, 1), 0.012),
    ],
)  # fmt: skip
def test_fever_table_of_russell_and_norvig(present: tuple[int, ...], without: float) -> None:
    chances = fever().state_chances(np.array([present], dtype=bool))
    assert chances[0] == pytest.approx([without, 1.0 - without], abs=1e-15)


def test_fever_posteriors_from_the_eight_rows_by_hand() -> None:
    """Even odds on each cause. P(fever) = 1 - (1+.6)(1+.2)(1+.1)/8 = 1 - 2.112/8 = 0.736.

    P(fever and cold) = 1/2 - .6*1.2*1.1/8 = 0.401; flu 1/2 - 1.6*.2*1.1/8 = 0.456;
    malaria 1/2 - 1.6*1.2*.1/8 = 0.476.
    """
    total, joint = Lattice(fever(), {0: np.array([0.0, 1.0])}).marginals()
    assert total[0] / 8.0 == pytest.approx(0.736, abs=1e-15)
    assert joint[0] / total[0] == pytest.approx(
        [0.401 / 0.736, 0.456 / 0.736, 0.476 / 0.736], abs=1e-14
    )


def test_burglary_explained_away_by_an_earthquake() -> None:
    """Pearl 1988, *Probabilistic Reasoning in Intelligent Systems*, ch. 2: an alarm that a quake
    explains makes the burglary less likely again. The story is Pearl's (from memory), the numbers
    are ours: odds 1:9 and 1:99, strengths 0.9 and 0.2, no leak.

    P(alarm) : burglary only .1*.99*.9 = .0891, quake only .9*.01*.2 = .0018,
    both .1*.01*(1-.1*.8) = .00092. P(burglary | alarm) = .09002/.09182.
    """
    table = FindingTable("alarm", np.zeros(1), (0, 1), np.array([[0.9], [0.2]]))
    news = FindingTable("news", np.zeros(1), (1,), np.array([[0.5]]))
    network = Network(["burglary", "quake"], np.array([1 / 9, 1 / 99]), 1.0, [table, news])
    yes = np.array([0.0, 1.0])
    total, joint = Lattice(network, {0: yes}).marginals()
    assert joint[0, 0] / total[0] == pytest.approx(0.09002 / 0.09182, abs=1e-14)
    # The news of a quake leaves (.0018, .00092): P(burglary) = .00092 / .00272.
    total, joint = Lattice(network, {0: yes, 1: yes}).marginals()
    assert joint[0, 0] / total[0] == pytest.approx(0.00092 / 0.00272, abs=1e-14)


def test_quickscore_by_hand_for_two_diseases_and_two_findings() -> None:
    """Heckerman 1989's formula: positive findings by signed sums over their subsets.

    Two diseases with odds 1, strengths of f1 (1/2, 1/4), of f2 (1/2, 1/2), no leak, both present:
    sum over subsets of prod(1 + miss) = 4 - 1.5*1.75 - 1.5*1.5 + 1.25*1.375 = 0.84375.
    The formula is the paper's (from memory), the numbers are ours.
    """
    tables = [
        FindingTable("f1", np.zeros(1), (0, 1), np.array([[0.5], [0.25]])),
        FindingTable("f2", np.zeros(1), (0, 1), np.array([[0.5], [0.5]])),
    ]
    network = Network(["d1", "d2"], np.ones(2), 1.0, tables)
    yes = np.array([0.0, 1.0])
    assert Lattice(network, {0: yes, 1: yes}).total()[0] == pytest.approx(0.84375, abs=1e-15)


def test_chances_of_states_sum_to_one_and_rise_with_every_cause() -> None:
    rng = np.random.default_rng(8)
    network = random_network(rng, 7, 12, (0, 6), most_states=4)
    fewer = rng.random((50, 7)) < 0.4
    more = fewer | (rng.random((50, 7)) < 0.4)
    for f, table in enumerate(network.findings):
        columns = slice(int(network.state_offsets[f]), int(network.state_offsets[f + 1]))
        low, high = (network.state_chances(sets)[:, columns] for sets in (fewer, more))
        assert np.allclose(low.sum(axis=1), 1.0, atol=1e-14)
        assert low.min() >= -1e-15
        below = [chances.cumsum(axis=1)[:, : table.states - 1] for chances in (low, high)]
        assert (below[1] <= below[0] + 1e-14).all()


def test_other_odds_share_the_compiled_structure() -> None:
    network = random_network(np.random.default_rng(9), 5, 5)
    other = network.with_odds(2.0 * network.odds)
    assert other.structure is network.structure
    assert np.array_equal(other.odds, 2.0 * network.odds)


@pytest.mark.parametrize(("none", "second"), [(0.05, 0.1), (0.3, 0.01), (0.001, 0.6)])
def test_scaled_odds_hold_both_shares_exactly(none: float, second: float) -> None:
    rates = np.random.default_rng(10).uniform(0.1, 30.0, 40)
    odds, weight = scale_odds(rates, none, second)
    assert shares(odds, weight) == pytest.approx((none, second), rel=1e-10)
    assert np.allclose(odds / rates, odds[0] / rates[0], rtol=1e-12)
