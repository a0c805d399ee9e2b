"""What is decided: one posterior decides and is shown."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.belief.hypotheses import Hypotheses
from diagnose.job.events import Answered, Complained, Event, Measured, Opened
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.decision import Decision
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.said_stages import stage_lines
from diagnose.strategy.policy import SURE
from tests.casebook.playing import CASES
from tests.kettle import kettle_reasoner
from tests.real_pack import pack_reasoner, shop_reasoner

KETTLE = kettle_reasoner()


def decided(ident: str) -> Decision:
    """The decision on all that is known of a case in the end."""
    case, reasoner = CASES[ident], pack_reasoner(CASES[ident].pack)
    answers = {**case.counter, **case.bench}
    job = {
        "complaint": case.complaint,
        "shock": case.shock,
        "pack": case.pack,
        "at": "bench",
        "answers": answers,
    }
    return Decision(Belief(reasoner, fold(events_of(job, reasoner.knowledge)[0])))


def test_a_cost_stands_for_every_plan() -> None:
    said = {"pack": "kettle", "at": "bench", "answers": {"said_stays_cold": "cold"}}
    decision = Decision(Belief(KETTLE, fold(events_of(said, KETTLE.knowledge)[0])))
    cured = decision.belief.cured
    assert decision.costs.shape == cured.shape == (len(KETTLE.cost_model.plans),)
    assert np.all((cured > 0) & (cured <= 1 + 1e-9))
    assert np.all(decision.costs > 0)


@pytest.mark.parametrize("ident", sorted(CASES)[::9])
def test_sure_enough_is_asked_of_the_chance_that_is_shown(ident: str) -> None:
    reasoner = pack_reasoner(CASES[ident].pack)
    decision = decided(ident)
    call = judge(reasoner, reasoner.view(decision.belief.job))
    planned = call.also_stages[0] if decision.belief.signs else call.stage
    assert planned.cures == round(decision.cured, 4)
    assert call.sure_enough == decision.sure_enough
    assert decision.sure_enough == (decision.cured >= SURE and not decision.belief.signs)


@pytest.mark.parametrize("ident", sorted(CASES)[::9])
def test_costs_are_those_of_the_chances_of_all_sets(ident: str) -> None:
    """Over far more sets the plan is the same, and its cost within a few units of money."""
    decision = decided(ident)
    reasoner = pack_reasoner(CASES[ident].pack)
    sets = reasoner.sets
    belief = decision.belief
    costs = 0.0
    for account, evidence in zip(belief.accounts, belief.evidences, strict=True):
        long = sets.posterior(belief.network, evidence, 1.0, 10**6)
        costs = costs + account.share * (long.weights @ reasoner.cost_model.costs(long.present))
    assert decision.costs == pytest.approx(costs, rel=0.03)


def bench(complaint: str, **found: str) -> Decision:
    """Found at the bench, the five places sound."""
    reasoner = shop_reasoner()
    events: list[Event] = [
        Opened(pack="rear_air_shock", knowledge="", at="bench"),
        Complained(text=complaint),
        *(Answered(ask=ask, state=state, by="bench") for ask, state in found.items()),
    ]
    if "bench_bubbles_can_joint" in found:
        night = {"before": "180 psi", "after": "120 psi", "elapsed": "12 h", "maximum": "300 psi"}
        events.append(Measured(ask="bench_overnight_gauge", readings=night))
    return Decision(Belief(reasoner, fold(events)))


BOTH = {
    "bench_bubbles_can_joint": "stream",
    "bench_oil_smear": "yes",
    "bench_oil_slider": "drops",
    "bench_oil_valve": "spray",
}


def test_two_faults_of_one_opening_are_named_as_two() -> None:
    two = bench("", **BOTH)
    assert two.plan.stages == ("damper_service",) and two.within == ("air_can_service",)
    *_, line = stage_lines(two)
    assert (line.id, line.within, line.minutes, line.parts) == ("air_can_service", True, 0.0, 0.0)
    one = {ask: state for ask, state in BOTH.items() if ask != "bench_bubbles_can_joint"}
    assert bench("", **one).within == ()


def test_nothing_is_sure_enough_before_what_was_seen_is_explained() -> None:
    """Oil of the damper, and the only thing believed is a bushing: it comes from nothing."""
    found = bench("", **BOTH)
    assert found.belief.unexplained == []
    bushing = np.array([[cause == "eyelet_bushing_worn" for cause in found.belief.network.causes]])
    chances = found.belief.network.state_chances(bushing)
    alone = Hypotheses(bushing, np.ones(1), chances, 1.0, np.zeros(1, dtype=int))
    other = bench("", **BOTH)
    object.__setattr__(other.belief, "hypotheses", alone)
    assert "oil_is_damper_oil" in other.belief.unexplained and not other.sure_enough
