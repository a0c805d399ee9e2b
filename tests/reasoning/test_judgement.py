"""The one Judgement: rounded once, the same each time, and of one mind with itself.

Reaches reasoning.lines, reasoning.said_stages, reasoning.said_step, reasoning.section_messages and
reasoning.surprise too.
"""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.job.events import Answered, Booked, Closed, Event, HandedOver
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.reasoning.judgement import Judgement, judge
from diagnose.reasoning.reasoner import Reasoner
from diagnose.symptom_graph.cautions import required_cautions
from tests.kettle import kettle_reasoner
from tests.real_pack import shop_reasoner

KETTLE = kettle_reasoner()


def judged(*more: Event, reasoner: Reasoner = KETTLE, **data: Any) -> Judgement:
    events, warnings = events_of({"pack": "kettle", **data}, reasoner.knowledge)
    return judge(reasoner, reasoner.view(fold([*events, *more])), warnings)


JOBS: list[dict[str, Any]] = [
    {},
    {"complaint": "it stays cold, no drips"},
    {"complaint": "lid is jammed", "at": "bench"},
    {"answers": {"bench_heat": "cold", "bench_leak": "drips"}, "at": "bench"},
    {"answers": {"look_cord": "bare", "look_drips": "dry"}, "shock": {"age_years": 7}},
]


@pytest.mark.parametrize("data", JOBS, ids=range(len(JOBS)))
def test_it_is_of_one_mind_with_itself(data: dict[str, Any]) -> None:
    found = judged(**data)
    chances = [line.probability for line in found.causes]
    assert chances == sorted(chances, reverse=True)
    assert {line.id for line in found.causes} == {*KETTLE.knowledge.causes, "unlisted"}
    assert 0.0 <= found.no_fault <= 1.0
    assert found.knowledge == KETTLE.knowledge.fingerprint
    assert found.ride_reason
    for line in [found.stage, *found.also_stages]:
        assert line.id in KETTLE.knowledge.stages
        assert line.currency == "XTS"
        assert line.reason
    ranks = KETTLE.knowledge.stages
    assert ranks[found.range.lowest].rank <= ranks[found.range.highest].rank


@pytest.mark.parametrize("data", JOBS, ids=range(len(JOBS)))
def test_the_same_job_gives_the_same_bytes(data: dict[str, Any]) -> None:
    other = Reasoner(KETTLE.knowledge)
    assert judged(**data).model_dump_json() == judged(reasoner=other, **data).model_dump_json()


@pytest.mark.parametrize("data", JOBS, ids=range(len(JOBS)))
def test_numbers_are_rounded_here_and_nowhere_else(data: dict[str, Any]) -> None:
    found = judged(**data)
    for line in found.causes:
        assert line.probability == round(line.probability, 6)
    for stage in [found.stage, *found.also_stages]:
        assert stage.cures == round(stage.cures, 4)
        assert stage.expected_cost == round(stage.expected_cost, 2)
        assert stage.minutes == round(stage.minutes)
    assert Judgement.model_validate_json(found.model_dump_json()) == found


def test_the_order_of_answers_changes_nothing_but_their_order() -> None:
    answers = {"look_drips": "drips", "said_stays_cold": "hot", "look_cord": "whole"}
    one = judged(answers=answers)
    two = judged(answers=dict(reversed(answers.items())))
    assert one.causes == two.causes
    assert one.stage == two.stage


def test_a_denial_is_told_as_one() -> None:
    cold, dry = judged(complaint="it stays cold, no drips").symptoms
    assert (cold.id, cold.state, cold.denied) == ("said_stays_cold", "cold", False)
    assert (dry.id, dry.state, dry.denied) == ("said_drips", "dry", True)


def test_an_answer_is_no_denial_and_shows_its_own_words() -> None:
    (line,) = judged(answers={"said_drips": "dry"}).symptoms
    assert (line.denied, line.words, line.text, line.by) == (False, "", "No", "customer")


def test_a_sign_forbids_opening_and_names_what_clears_it() -> None:
    found = judged(answers={"said_lid_jammed": "jammed"})
    assert found.stage.id == "leave_shut"
    assert found.stage.cures == 0.0
    assert "Cleared only at the bench by: lid by hand." in found.stage.reason
    assert found.also_stages, "the plan once it is cleared"
    assert not found.sure_enough


def test_the_healthy_check_at_the_bench_clears_it() -> None:
    answers = {"said_lid_jammed": "jammed", "bench_lid": "opens"}
    assert judged(answers=answers, at="bench").stage.id != "leave_shut"
    theirs = {"bench_lid": {"state": "jammed", "by": "customer"}}
    assert judged(answers=theirs, at="bench").stage.id == "leave_shut"


def test_first_words_come_first_among_the_cautions() -> None:
    found = judged(complaint="the lid is jammed")
    assert found.cautions[0].id == "steam_locked"
    assert (
        found.cautions[0].text == "Steam behind a jammed lid. The lid flies. Leave the lid alone."
    )


def test_the_next_step_of_a_counter_is_a_question_and_of_a_bench_a_check() -> None:
    ask = judged().next_step
    assert (ask.kind, ask.id) == ("ask", "said_stays_cold")
    assert [answer.key for answer in ask.answers] == ["1", "2", "3"]
    assert ask.why
    dry = {"look_drips": "dry"}
    check = judged(at="bench", complaint="it stays cold", answers=dry).next_step
    assert (check.kind, check.id) == ("check", "bench_heat")
    assert [line.id for line in check.cautions] == ["hot_water"]


def test_a_booked_job_is_not_asked_on_and_a_closed_one_is_done() -> None:
    assert judged(Booked()).next_step.kind == "book_inspection"
    assert judged(HandedOver(to="", at="bench"), Closed()).next_step.kind == "done"


def test_at_the_bench_it_ends_with_sure_enough() -> None:
    answers = {
        "bench_heat": "cold",
        "bench_leak": "dry",
        "bench_lid": "opens",
        "look_cord": "whole",
    }
    found = judged(at="bench", answers=answers, complaint="stays cold")
    assert found.stage.id == "base_service"
    assert found.next_step.kind == "done"


def test_warnings_go_along() -> None:
    assert "colour" in judged(shock={"colour": "red"}).warnings[0]


def test_an_answer_that_would_change_the_plan_is_named_with_the_plan() -> None:
    rows = judged().would_change
    assert rows
    names = {stage.name for stage in KETTLE.knowledge.stages.values()}
    assert all(row.rpartition(" -> ")[2].split(" + ")[0] in names for row in rows)


def test_answers_that_do_not_fit_one_another_surprise() -> None:
    fitting = judged(answers={"said_stays_cold": "cold", "bench_heat": "cold"}, at="bench")
    torn = judged(answers={"said_stays_cold": "cold", "bench_heat": "hot"}, at="bench")
    assert fitting.surprise.value < 0.0 < torn.surprise.value
    assert fitting.surprise.suspects == []


def test_a_known_age_moves_the_causes_that_depend_on_it() -> None:
    old, new = (judged(shock={"age_years": years}) for years in (9, 1))
    chance = [next(c.probability for c in j.causes if c.id == "element_burnt") for j in (old, new)]
    assert chance[0] > 2 * chance[1]


def test_a_part_that_is_missing_takes_its_causes_along() -> None:
    found = judged(shock={"cordless": True})
    (seal,) = (line for line in found.causes if line.id == "seal_perished")
    assert seal.probability < 1e-6


def test_answered_means_not_asked() -> None:
    asked = judged().next_step.id
    assert asked is not None
    after = judged(Answered(ask=asked, state="not_sure"))
    assert after.next_step.id != asked
    assert after.causes == judged().causes, "not sure says nothing"


@pytest.fixture(scope="module")
def shop() -> Reasoner:
    return shop_reasoner()


def said_of(shop: Reasoner, data: dict[str, Any]) -> tuple[Judgement, list[str]]:
    events, _ = events_of(data, shop.knowledge)
    found = judge(shop, shop.view(fold(events)))
    return found, [line.id for line in found.cautions]


@pytest.mark.parametrize("at", ["counter", "bench"])
def test_the_plan_names_every_grave_thing_that_its_steps_can_meet(shop: Reasoner, at: str) -> None:
    found, said = said_of(shop, {"complaint": "it lost its charge and squelches", "at": at})
    lines = [found.stage, *found.also_stages]
    stages = [line.id for line in lines]
    acts = [
        act
        for line in lines
        for step in shop.knowledge.sheets[line.job.id if line.job else line.id].steps
        for act in (*step.does, *step.marks)
    ]
    met = {c.id for c in required_cautions(shop.knowledge, acts, {}) if c.signal_word == "WARNING"}
    assert "damper_service" in stages or "full_service" in stages
    assert {"fluid_jet", "frame_drops", "damper_charge"} <= met <= set(said)
    assert len(said) == len(set(said))
    words = [line.signal_word for line in found.cautions]
    assert words == sorted(words, key=["DANGER", "WARNING"].index)


def test_what_is_let_out_or_gauged_next_is_said_though_the_plan_opens_nothing(
    shop: Reasoner,
) -> None:
    found, said = said_of(shop, {"complaint": "the bolt is loose and creaks", "at": "bench"})
    assert not any(shop.knowledge.stages[found.stage.id].opens)
    assert "air_pressure" in said


def test_a_plan_to_refer_names_the_pressure(shop: Reasoner) -> None:
    answers = {"look_crack_seen": "yes", "bench_crack": "yes"}
    found, said = said_of(shop, {"complaint": "eyelet cracked", "answers": answers, "at": "bench"})
    assert found.stage.id == "replace_or_refer"
    assert {"air_pressure", "structural_stop"} <= set(said)


def test_the_customer_is_told_what_meets_who_rides_and_not_what_meets_the_bench(
    shop: Reasoner,
) -> None:
    found, _ = said_of(shop, {"complaint": "loses air overnight"})
    outside = {line.id for line in found.cautions if line.outside}
    assert not {"frame_drops", "ebike_motor", "structural_stop", "fluid_jet"} & outside
    found, _ = said_of(shop, {"complaint": "oil", "answers": {"look_oil_on_brake": "yes"}})
    assert "oil_on_brake" in {line.id for line in found.cautions if line.outside}
