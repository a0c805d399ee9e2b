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


def at_the_counter(complaint: str, **found: str) -> Decision:
    """Told and seen at the counter."""
    reasoner = shop_reasoner()
    told = {ask for ask in found if ask.startswith("said_")}
    events: list[Event] = [
        Opened(pack="rear_air_shock", knowledge="", channel="bike_here"),
        Complained(text=complaint),
        *(
            Answered(ask=ask, state=state, by="customer" if ask in told else "counter")
            for ask, state in found.items()
        ),
    ]
    return Decision(Belief(reasoner, fold(events)))


def test_what_opens_nothing_may_be_called_beside_a_sign() -> None:
    """Let flat at full length it is no service, and not opened all the same (shared trade)."""
    flat = at_the_counter(
        "let all the air out for the flight, it drew itself in as it went",
        look_stuck_short="deep",
        said_short_before_air_out="no",
        said_vented_fast="yes",
    )
    assert flat.belief.signs
    assert (flat.plan.stages, flat.held) == (("no_service",), False)
    assert flat.stages == ("no_service", "do_not_open")
    assert flat.sheets == ("do_not_open",)
    assert not flat.sure_enough


def test_a_sign_holds_back_what_opens() -> None:
    """Short before anybody touched the valve, and it pulls (shared trade): trapped."""
    trapped = at_the_counter(
        "it sank over the ride and pulls itself back in, nobody let air out",
        look_stuck_short="deep",
        look_pulls_back="yes",
        said_short_before_air_out="yes",
        said_gauge_while_short="near_usual",
    )
    assert (trapped.opens, trapped.held, trapped.stages) == (True, True, ("do_not_open",))


def test_a_sign_holds_back_what_goes_out() -> None:
    """The valve shows nothing while it carries: what is in it cannot be let out here."""
    shut = at_the_counter("it carries me and the valve is dead", said_valve_dead="yes")
    assert (shut.plan.stages[0], shut.held) == ("replace_or_refer", True)
