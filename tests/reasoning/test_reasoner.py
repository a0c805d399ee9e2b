"""What a view holds: exact where it says so, and the same numbers however it is asked.

Reaches strategy.telling too.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from diagnose.job.events import Answered, Event, Opened
from diagnose.job.state import fold
from diagnose.reasoning.open_options import asked_at_counter
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.strategy.policy import COUNTER_QUESTIONS
from tests.kettle import kettle_reasoner

KETTLE = kettle_reasoner()


def view_of(*events: Event, reasoner: Reasoner = KETTLE) -> View:
    return reasoner.view(fold([Opened(pack="kettle", knowledge=""), *events]))


def asked(view: View) -> int:
    return asked_at_counter(KETTLE.knowledge, view.job)


def by_hand(view: View) -> tuple[dict[str, float], float]:
    """Chance of each cause and of no fault, by summing over all 32 fault sets."""
    compiled = KETTLE.compiled
    network, odds = compiled.network, KETTLE.odds(view.job, view.belief.items)
    present = np.array(list(itertools.product([False, True], repeat=len(odds))))
    weights = np.where(present, odds, 1.0).prod(axis=1)
    weights[0] *= network.empty_weight
    chances = network.state_chances(present)
    for f, likelihood in view.belief.evidence.items():
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
    view = view_of(*events)
    causes, none = by_hand(view)
    assert view.belief.causes == pytest.approx(causes)
    assert view.belief.no_fault == pytest.approx(none)


def test_before_any_word_the_shares_are_the_packs() -> None:
    _, none = by_hand(view_of())
    assert none == pytest.approx(0.1)


@pytest.mark.parametrize("events", ANSWERS, ids=range(len(ANSWERS)))
def test_the_likeliest_sets_agree_with_the_exact_sum(events: list[Event]) -> None:
    view = view_of(*events)
    listed = dict(
        zip(
            KETTLE.compiled.causes,
            view.belief.hypotheses.weights @ view.belief.hypotheses.present,
            strict=True,
        )
    )
    assert listed == pytest.approx(view.belief.causes, abs=0.01)
    assert view.belief.hypotheses.coverage >= 0.999


def test_learned_rates_replace_the_cards(tmp_path: object) -> None:
    learned = Reasoner(KETTLE.knowledge, rates={"seal_perished": 500.0})
    assert view_of(reasoner=learned).belief.causes["seal_perished"] > (
        2 * view_of().belief.causes["seal_perished"]
    )


def test_the_look_counts_as_one_question_whatever_it_finds() -> None:
    looked = [
        Answered(ask=ask, state=state, by="counter")
        for ask, state in (("look_drips", "dry"), ("look_cord", "whole"))
    ]
    assert asked(view_of()) == 0
    assert asked(view_of(*looked)) == 1
    assert asked(view_of(*looked, Answered(ask="said_drips", state="not_sure"))) == 2


def test_the_counter_stops_asking_after_its_questions() -> None:
    events = [Answered(ask=f"said_{n}", state="not_sure") for n in range(COUNTER_QUESTIONS)]
    assert view_of(*events[1:]).advice.options
    assert view_of(*events).advice.options == []
    assert view_of(*events).advice.step is None


def test_a_cost_stands_for_every_plan() -> None:
    view = view_of(Answered(ask="said_stays_cold", state="cold"))
    assert view.decision.costs.shape == view.belief.cured.shape == (len(KETTLE.cost_model.plans),)
    assert np.all((view.belief.cured > 0) & (view.belief.cured <= 1 + 1e-9))
    assert np.all(view.decision.costs > 0)
