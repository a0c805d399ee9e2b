"""What comes next, what it is chosen from, and what would change the plan.

Reaches reasoning.open_options, reasoning.weighing and reasoning.coming_first too.
"""

from __future__ import annotations

import numpy as np

from diagnose.job.events import Answered, Complained, Event, HandedOver, Opened
from diagnose.job.state import fold
from diagnose.reasoning.advice import advise_nothing, advise_step
from diagnose.reasoning.open_options import (
    asked_at_bench,
    asked_at_counter,
    open_at,
    patience_left,
)
from diagnose.reasoning.reasoner import View
from diagnose.reasoning.weighing import situation_of
from diagnose.strategy.lookahead import advise
from tests.kettle import kettle_reasoner
from tests.real_pack import shop_reasoner

KETTLE = kettle_reasoner()


def view_of(*events: Event) -> View:
    return KETTLE.view(fold([Opened(pack="kettle", knowledge=""), *events]))


def asked(view: View) -> int:
    return asked_at_counter(KETTLE.knowledge, view.job)


def test_the_look_counts_as_one_question_whatever_it_finds() -> None:
    looked = [
        Answered(ask=ask, state=state, by="counter")
        for ask, state in (("look_drips", "dry"), ("look_cord", "whole"))
    ]
    assert asked(view_of()) == 0
    assert asked(view_of(*looked)) == 1
    assert asked(view_of(*looked, Answered(ask="said_drips", state="not_sure"))) == 2


def test_the_counter_stops_asking_after_its_questions() -> None:
    events = [
        Answered(ask=f"said_{n}", state="not_sure")
        for n in range(int(KETTLE.money.patience.counter))
    ]
    assert view_of(*events[1:]).advice.options
    assert view_of(*events).advice.options == []
    assert view_of(*events).advice.step is None


def test_the_last_question_is_chosen_for_what_it_tells_by_itself() -> None:
    """No plan rests on a question that nobody would be asked any more."""
    patience = int(KETTLE.money.patience.counter)
    for left in (1, 2):
        asks = (f"said_{n}" for n in range(patience - left))
        view = view_of(*(Answered(ask=ask, state="not_sure") for ask in asks))
        assert patience_left(view.belief) == left
        situation = situation_of(view.decision, view.advice.options)
        expected = advise(situation, ahead=left)
        assert np.array_equal(view.advice.outlook.values, expected.values)


def test_without_advice_all_else_is_the_same() -> None:
    view = view_of(Answered(ask="said_stays_cold", state="cold"))
    silent = advise_nothing(view.decision)
    assert (silent.step, list(silent.options), silent.would_change) == (None, [], [])
    assert silent.outlook.stop_cost == advise_step(view.decision).outlook.stop_cost


def test_what_would_change_the_plan_does() -> None:
    cold = Answered(ask="said_stays_cold", state="cold")
    view = view_of(cold, HandedOver(to="", at="bench"))
    listed, model = view.belief.hypotheses, KETTLE.cost_model
    options = {option.id: option for option in view.advice.options}
    assert view.advice.would_change
    for change in view.advice.would_change:
        option = options[change.ask]
        place = option.answers.index(change.state)
        after = (listed.weights * option.outcomes[:, place]) @ model.costs(listed.present)
        assert model.plans[int(np.argmin(after))].sheets == change.sheets
        assert change.sheets != view.decision.plan.stages


def test_the_bench_may_be_looked_at_from_the_counter() -> None:
    view = view_of(Complained(text="it stays cold"))
    here = {option.id for option in view.advice.options}
    bench = {option.id for option in open_at(view.belief, "bench")}
    assert {"said_drips"} <= here and not here & {"bench_heat"}
    assert "bench_heat" in bench and "said_drips" not in bench


def shop_view(*events: Event) -> View:
    return shop_reasoner().view(fold([Opened(pack="rear_air_shock", knowledge=""), *events]))


def test_a_shock_that_sits_low_is_looked_at_for_its_length_first_at_both_desks() -> None:
    """It may stand short with gas trapped in it, and nobody calls it that (common practice)."""
    low = Answered(ask="said_rides_low", state="slightly")
    well = Answered(ask="said_rides_low", state="no")
    seen = Answered(ask="look_stuck_short", state="no", by="counter")
    over = HandedOver(to="", at="bench")
    assert shop_view(low).advice.step == "look_stuck_short"
    assert shop_view(low, over).advice.step == "look_stuck_short"
    assert shop_view(well, over).advice.step == shop_view(low, seen, over).advice.step
    assert shop_view(low, seen).advice.step != "look_stuck_short"


def test_looks_at_the_bench_count_for_its_patience_and_those_of_the_counter_do_not() -> None:
    knowledge = shop_reasoner().knowledge
    one, two = (Answered(ask=a, state="none", by="counter") for a in ("look_squelch", "look_dives"))
    two = two.model_copy(update={"state": "no"})
    job = shop_view(one, HandedOver(to="", at="bench"), two).job
    assert asked_at_bench(knowledge, job) == 1


def test_nothing_is_pressed_where_a_part_may_fail() -> None:
    """A loose bolt: no hand on the saddle, at either desk (common practice)."""
    loose = Answered(ask="look_bolt_loose", state="yes", by="counter")
    for desk in ((), (HandedOver(to="", at="bench"),)):
        held = shop_view(loose, *desk)
        assert not held.belief.may_be_loaded
        assert not {o.id for o in held.advice.options} & {"look_frame_press", "look_squelch"}


def test_lost_air_and_lost_damping_forbid_no_press_on_the_saddle() -> None:
    """Nothing that carries load is in doubt (common practice)."""
    gone = Answered(ask="said_air_loss", state="minutes")
    hops = Answered(ask="said_rebound_fast", state="pogo")
    for told in (gone, hops):
        view = shop_view(told)
        assert view.belief.ride.verdict == "stop_riding" and view.belief.may_be_loaded
        assert "look_squelch" in {option.id for option in view.advice.options}


def test_a_shaft_is_tried_first_where_its_gas_was_let_out() -> None:
    """A port at zero proves the port: what still drives the shaft drives the seal head
    (common practice)."""
    let_out = Answered(ask="said_charge_touched", state="let_out")
    over = HandedOver(to="", at="bench")
    assert shop_view(let_out).advice.step == "said_shaft_returns"
    assert shop_view(let_out, over).advice.step == "bench_shaft_returns"
    returns = Answered(ask="bench_shaft_returns", state="yes", by="bench")
    call = shop_view(let_out, over, returns)
    assert call.decision.stages[-1] == "do_not_open" and call.belief.ride.verdict == "stop_riding"
