"""Floors: what raises one, what lifts it, and what never does.

Reaches reasoning.over_maximum too.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.belief.compiled import compile_pack
from diagnose.job.events import Answered, Complained, Described, Event, Measured
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.reasoning.floors import Claim, forbidding, standing_floors
from diagnose.reasoning.judgement import Judgement, judge
from tests.real_pack import shop_knowledge, shop_reasoner
from tests.safety.probes import fills, signs

KNOWLEDGE = shop_knowledge()
COMPILED = compile_pack(KNOWLEDGE, None)
WORSE = {"ride": 0, "ride_gently": 1, "stop_riding": 2}


def said(**job: Any) -> Judgement:
    """The judgement of a job as another program hands it in."""
    reasoner = shop_reasoner()
    events, warnings = events_of(job, reasoner.knowledge)
    return judge(reasoner, reasoner.view(fold(events)), warnings)


def test_signs_of_the_trade_stand_and_are_cleared_only_at_the_bench() -> None:
    assert list(signs(KNOWLEDGE)) == []


def test_what_may_be_damaged_is_not_filled() -> None:
    assert list(fills(KNOWLEDGE)) == []


def test_an_unknown_history_raises_nothing() -> None:
    assert standing_floors(COMPILED, []) == []


def test_healthy_reports_raise_nothing() -> None:
    well = [
        Claim(card.observes, card.id, card.at, COMPILED.states(card.observes)[0])
        for card in KNOWLEDGE.checks.values()
    ]
    assert standing_floors(COMPILED, well) == []


# What was tried and went wrong before, each as it was tried ------------------------------------


@pytest.mark.parametrize("at", ["counter", "bench"])
@pytest.mark.parametrize(
    "answers",
    [
        {"said_vented_fast": "yes"},
        {"said_gauge_while_short": "empty"},
        {"said_vented_fast": "yes", "said_gauge_while_short": "empty", "said_stuck_short": "no"},
        {"said_stuck_short": "not_sure"},
        {"said_short_before_air_out": "no", "bench_gauge_while_short": "empty"},
    ],
)
def test_no_word_and_no_zero_gauge_undoes_a_shock_that_stands_short(
    at: str, answers: dict[str, str]
) -> None:
    call = said(complaint="it is stuck half way down", at=at, answers=answers)
    assert call.stage.id == "do_not_open"
    assert call.ride == "stop_riding"


def test_short_and_then_let_out_can_be_told() -> None:
    """The truth that could not be answered: it was short, and then he let the air out."""
    told = {"said_short_before_air_out": "yes", "said_vented_fast": "yes"}
    call = said(complaint="shock is short", answers=told)
    assert call.stage.id == "do_not_open"


def test_a_flat_shock_comes_back_by_the_guarded_fill() -> None:
    told = {"said_stuck_short": "deep", "said_vented_fast": "yes"}
    bench = {"bench_length": "deep", "bench_gauge_while_short": "empty"}
    before = said(at="bench", answers={**told, **bench})
    assert (before.stage.id, before.next_step.id) == ("do_not_open", "bench_guarded_fill")
    after = said(at="bench", answers={**told, **bench, "bench_guarded_fill": "no"})
    assert after.stage.id != "do_not_open"


def test_at_its_usual_pressure_a_short_shock_is_not_even_filled() -> None:
    bench = {"bench_length": "deep", "bench_gauge_while_short": "near_usual"}
    call = said(at="bench", answers=bench)
    assert (call.stage.id, call.next_step.kind) == ("do_not_open", "done")


@pytest.mark.parametrize(
    ("gauge", "most", "usual"), [(360, 300, 300), (340, 300, 300), (320, 240, 240), (310, 280, 280)]
)
def test_a_gauge_above_the_marked_maximum_stops_the_ride(gauge: int, most: int, usual: int) -> None:
    shock = {"maximum_pressure": f"{most} psi", "set_pressure": f"{usual} psi"}
    readings = {"bench_pressure": {"gauge": f"{gauge} psi"}}
    call = said(at="bench", shock=shock, answers=readings)
    assert call.ride == "stop_riding"
    assert "maximum" in call.ride_reason


def test_the_mechanics_over_the_maximum_is_not_outvoted_by_words() -> None:
    call = said(
        at="bench",
        complaint="rock hard since I put air in",
        answers={"bench_pressure": "over_max"},
    )
    assert call.ride == "stop_riding"


def test_a_pogo_stops_the_ride() -> None:
    assert said(answers={"look_rebound_fast": "pogo"}).ride == "stop_riding"


def test_a_crack_stays_in_the_plan_whatever_else_is_asked() -> None:
    answers = {"look_crack_seen": "suspect", "look_bolt_loose": "yes", "said_knock_load": "yes"}
    call = said(answers=answers)
    assert "replace_or_refer" in [call.stage.id, *(s.id for s in call.also_stages)]
    cleared = said(at="bench", answers={**answers, "bench_crack": "no"})
    assert "replace_or_refer" not in [cleared.stage.id, *(s.id for s in cleared.also_stages)]


def test_after_a_crash_the_lamp_comes_before_anything_is_filled() -> None:
    call = said(at="bench", complaint="loses air", answers={"said_after_crash": "yes"})
    assert call.next_step.id == "bench_can"


def test_the_verdict_names_the_finding_and_who_found_it() -> None:
    call = said(answers={"look_bolt_loose": "yes"})
    assert KNOWLEDGE.findings["bolt_loose"].name in call.ride_reason
    assert "seen" in call.ride_reason


def folded(*events: Event) -> Judgement:
    reasoner = shop_reasoner()
    return judge(reasoner, reasoner.view(fold(events)))


@pytest.mark.parametrize(
    ("first", "further", "finding"),
    [
        ("after one landing the shock stayed completely compressed",
         "it comes back out to full length every time", "stuck_short"),
        ("there's a nasty dent on the outer sleeve from a rock", "no dents in the can",
         "can_damaged"),
    ],
)  # fmt: skip
def test_further_words_take_back_nothing_that_was_heard(
    first: str, further: str, finding: str
) -> None:
    """Together they are heard as a denial; what was heard before them stays said."""
    words = [Complained(text=first), Complained(text=further)]
    for said_so_far in (words[:1], words):
        assert finding in [line.finding for line in folded(*said_so_far).floors]


def test_earlier_words_do_not_hide_later_ones() -> None:
    words = ("comes back up a lot quicker than last season",
             "there is no damping whatsoever, it bounces like a pogo stick")  # fmt: skip
    call = folded(*(Complained(text=text) for text in words))
    assert "rebound_fast" in [line.finding for line in call.floors]


def test_a_customers_gauge_above_the_maximum_stays_said() -> None:
    marked = Described(shock={"maximum_pressure": 300.0})
    told = [
        Measured(ask="bench_pressure", readings=readings, by="customer")
        for readings in (
            {"gauge": "345 psi", "usual_pressure": "280 psi"},
            {"gauge": "250 psi", "usual_pressure": "280 psi"},
        )
    ]
    assert "pressure_high" in [line.finding for line in folded(marked, *told).floors]
    assert "pressure_high" not in [line.finding for line in folded(marked, told[1]).floors]


def test_of_a_check_of_several_findings_only_what_it_says_of_the_floors_own_lifts_it() -> None:
    """Not low says nothing against above the maximum: whoever reads the gauge does."""
    over = Answered(ask="said_pressure_high", state="over_max")
    assert "pressure_high" in [line.finding for line in folded(over).floors]
    for state, left in (("over_max", True), ("low", False), ("no", False)):
        seen = Answered(ask="bench_pressure", state=state, by="bench")
        assert ("pressure_high" in [line.finding for line in folded(over, seen).floors]) is left


# No sequence of answers -----------------------------------------------------------------------

CUSTOMER = sorted((s.id, a.state) for s in KNOWLEDGE.symptoms.values() for a in s.answers)


def _row(floor: Any) -> str:
    return f"{floor.finding}-{floor.at_least}"


FLOORS = [f for f in KNOWLEDGE.floors if f.until_asked is None]


@pytest.mark.parametrize("floor", FLOORS, ids=_row)
@settings(max_examples=20)
@given(words=st.lists(st.sampled_from(CUSTOMER), max_size=12))
def test_no_answers_of_a_customer_lift_a_floor(floor: Any, words: list[tuple[str, str]]) -> None:
    """Whoever set it: what the customer says before or after takes nothing away."""
    for by in floor.by:
        setting = Claim(floor.finding, "somebody", by, floor.at_least)
        told = [Claim(KNOWLEDGE.symptoms[a].observes, a, "customer", s) for a, s in words]
        for made in ([setting, *told], [*told, setting]):
            assert floor in [s.floor for s in standing_floors(COMPILED, made)]


@settings(max_examples=60)
@given(
    floor=st.sampled_from([f for f in FLOORS if "bench" in f.by]),
    looks=st.lists(st.sampled_from(sorted(KNOWLEDGE.checks)), max_size=10),
    places=st.lists(st.integers(0, 4), min_size=10, max_size=10),
)
def test_only_its_own_checks_lower_what_the_bench_found(
    floor: Any, looks: list[str], places: list[int]
) -> None:
    setting = Claim(floor.finding, "somebody", "bench", floor.at_least)
    own = floor.lifted_by or ()
    made = [setting]
    for ident, place in zip(looks, places, strict=False):
        check = KNOWLEDGE.checks[ident]
        if ident not in own:
            states = COMPILED.states(check.observes)
            made.append(Claim(check.observes, ident, check.at, states[place % len(states)]))
    assert floor in [s.floor for s in standing_floors(COMPILED, made)]


def test_what_forbids_opening_forbids_it_for_every_reporter_in_the_table() -> None:
    for floor in KNOWLEDGE.floors:
        if "open" in floor.forbids:
            for by in floor.by:
                made = [Claim(floor.finding, "somebody", by, floor.at_least)]
                assert forbidding(standing_floors(COMPILED, made), "open")
