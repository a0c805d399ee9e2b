"""What is believed of a job: exact where it says so. Reaches reasoning.prepared too."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from diagnose.job.events import Answered, Event, HandedOver, Opened
from diagnose.job.state import fold
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.reasoner import Reasoner
from tests.kettle import kettle_reasoner

KETTLE = kettle_reasoner()


def belief_of(*events: Event, reasoner: Reasoner = KETTLE) -> Belief:
    return Belief(reasoner, fold([Opened(pack="kettle", knowledge=""), *events]))


def by_hand(belief: Belief) -> tuple[dict[str, float], float]:
    """Chance of each cause and of no fault, by summing over all 32 fault sets."""
    compiled = KETTLE.compiled
    network, odds = belief.network, belief.network.odds
    present = np.array(list(itertools.product([False, True], repeat=len(odds))))
    weights = np.where(present, odds, 1.0).prod(axis=1)
    weights[0] *= network.empty_weight
    chances = network.state_chances(present)
    for f, likelihood in belief.evidence.items():
        start = int(network.state_offsets[f])
        weights = weights * (chances[:, start : start + len(likelihood)] @ likelihood)
    weights = weights / weights.sum()
    return dict(zip(compiled.causes, weights @ present, strict=True)), float(weights[0])


ANSWERS: list[list[Event]] = [
    [],
    [Answered(ask="said_stays_cold", state="cold")],
    [
        Answered(ask="said_drips", state="drips"),
        Answered(ask="bench_leak", state="drips", by="bench"),
        Answered(ask="bench_heat", state="lukewarm", by="bench"),
        Answered(ask="look_cord", state="whole", by="counter"),
    ],
]


@pytest.mark.parametrize("events", ANSWERS, ids=range(len(ANSWERS)))
def test_causes_are_the_sum_over_all_fault_sets(events: list[Event]) -> None:
    belief = belief_of(*events)
    causes, none = by_hand(belief)
    assert belief.causes == pytest.approx(causes)
    assert belief.no_fault == pytest.approx(none)


def test_before_any_word_the_shares_are_the_packs() -> None:
    _, none = by_hand(belief_of())
    assert none == pytest.approx(0.1)


def test_a_job_keeps_the_prior_of_where_it_came_from() -> None:
    opened = {at: Opened(pack="kettle", knowledge="", at=at) for at in ("counter", "bench")}
    straight = Belief(KETTLE, fold([opened["bench"]]))
    handed_on = Belief(KETTLE, fold([opened["counter"], HandedOver(to="AB", at="bench")]))
    assert straight.no_fault == pytest.approx(0.04)
    assert handed_on.no_fault == pytest.approx(0.1)
    assert straight.causes["limescale"] < handed_on.causes["limescale"]


@pytest.mark.parametrize("events", ANSWERS, ids=range(len(ANSWERS)))
def test_the_likeliest_sets_agree_with_the_exact_sum(events: list[Event]) -> None:
    belief = belief_of(*events)
    listed = dict(
        zip(
            KETTLE.compiled.causes,
            belief.hypotheses.weights @ belief.hypotheses.present,
            strict=True,
        )
    )
    assert listed == pytest.approx(belief.causes, abs=0.01)
    assert belief.hypotheses.coverage >= 0.999


def test_learned_rates_replace_the_cards(tmp_path: object) -> None:
    learned = Reasoner(KETTLE.knowledge, rates={"seal_perished": 500.0})
    assert belief_of(reasoner=learned).causes["seal_perished"] > (
        2 * belief_of().causes["seal_perished"]
    )


@pytest.mark.parametrize("events", ANSWERS, ids=range(len(ANSWERS)))
def test_the_table_of_sets_agrees_with_the_exact_sum(events: list[Event]) -> None:
    chances = sum(part.weights @ part.present for part in belief_of(*events).sets)
    table = dict(zip(KETTLE.compiled.causes, chances, strict=True))
    assert table == pytest.approx(belief_of(*events).causes, abs=0.01)


def test_nothing_is_worked_out_before_it_is_asked_for() -> None:
    belief = belief_of(*ANSWERS[2])
    assert belief.floors == []
    assert "_sums" not in vars(belief)
    assert belief.ride.reason
    assert "_sums" in vars(belief)
    assert "surprise" not in vars(belief)


def test_other_words_leave_what_is_believed() -> None:
    belief = belief_of(*ANSWERS[2])
    other = Reasoner(KETTLE.knowledge)
    assert belief.causes is belief.read_by(other).causes
    assert belief.read_by(other).prepared is other
