"""A sheet as each kind of shock meets it."""

from __future__ import annotations

import pytest

from diagnose.job.events import Described, Event, Opened, SheetChosen, Stepped
from diagnose.job.state import fold
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Stage
from diagnose.reasoning.chosen_sheet import next_step
from diagnose.symptom_graph.sheets import sheet_problems
from diagnose.symptom_graph.variants import (
    marks_of,
    said_of,
    steps_of,
    unknown_of,
    variants,
    with_or_without,
)
from tests.real_pack import shop_knowledge

#: in the body, in a reservoir, a bladder in a reservoir
KINDS = (
    {"piggyback": False},
    {"piggyback": True, "bladder": False},
    {"piggyback": True, "bladder": True},
)


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return shop_knowledge()


def full(knowledge: Knowledge) -> Stage:
    return knowledge.stages["full_service"]


def test_a_step_that_is_known_not_to_apply_is_left_out(knowledge: Knowledge) -> None:
    stage = full(knowledge)
    assert steps_of(stage, {}) == tuple(range(len(stage.steps)))
    for kind in KINDS:
        left = set(range(len(stage.steps))) - set(steps_of(stage, kind))
        assert left
        for number in left:
            wanted = stage.steps[number].applies_when
            assert any(kind.get(name, has) != has for name, has in wanted.items())


def test_every_kind_of_shock_reaches_every_mark_once(knowledge: Knowledge) -> None:
    for stage in knowledge.stages.values():
        every = marks_of(stage, range(len(stage.steps)))
        for kind in KINDS:
            numbers = steps_of(stage, kind)
            marks = [mark for n in numbers for mark in stage.steps[n].marks]
            assert set(marks) == every
            assert len(marks) == len(set(marks))


def test_a_floating_piston_is_set_to_its_depth_and_a_bladder_has_none(knowledge: Knowledge) -> None:
    stage = full(knowledge)
    asked = [
        sum("ifp_depth_mm" in stage.steps[n].asks_sheet for n in steps_of(stage, kind))
        for kind in KINDS
    ]
    # Before it is opened every shock is asked for it, because nobody may know its kind by then.
    assert [n - 1 for n in asked] == [1, 1, 0]


def test_nobody_knows_says_what_a_step_is_for(knowledge: Knowledge) -> None:
    device, stage = knowledge.device, full(knowledge)
    step = next(s for s in stage.steps if s.applies_when == {"piggyback": True, "bladder": False})
    assert unknown_of(step, {"piggyback": True}) == {"bladder": False}
    assert said_of(device, step, {}).startswith("With a reservoir, without a bladder: Floating")
    assert said_of(device, step, {"piggyback": True}).startswith("Without a bladder: Floating")
    assert said_of(device, step, KINDS[1]) == step.do
    assert with_or_without(device, "bladder", True) == "with a bladder"


def test_variants_are_each_feature_known_either_way_or_not(knowledge: Knowledge) -> None:
    assert variants(knowledge.stages["air_can_service"]) == [{}]
    assert len(variants(full(knowledge))) == 9


def test_a_mark_that_one_kind_of_shock_does_not_reach_is_told(knowledge: Knowledge) -> None:
    stage = full(knowledge)
    steps = [
        step.model_copy(update={"marks": []}) if step.applies_when.get("bladder") else step
        for step in stage.steps
    ]
    broken = stage.model_copy(update={"steps": steps})
    found = sheet_problems(
        knowledge.model_copy(update={"stages": {**knowledge.stages, stage.id: broken}})
    )
    assert [p.what for p in found] == ["'ifp_out' is not reached with a bladder, with a reservoir."]


def test_the_next_step_passes_over_what_this_shock_does_not_have(knowledge: Knowledge) -> None:
    stage = full(knowledge)
    first = next(n for n, step in enumerate(stage.steps) if step.applies_when)
    assert stage.steps[first].applies_when == {"piggyback": False}
    begun: list[Event] = [
        Opened(pack="p", knowledge="", at="bench"),
        SheetChosen(stage=stage.id),
        *(Stepped(stage=stage.id, number=n) for n in range(first)),
    ]
    assert next_step(fold(begun), stage) == first
    told = fold([*begun, Described(shock={"piggyback": True, "bladder": True})])
    assert next_step(told, stage) == first + 1
    through = [Stepped(stage=stage.id, number=n) for n in steps_of(stage, KINDS[0])]
    done = fold([*begun[:2], Described(shock=dict(KINDS[0])), *through])
    assert next_step(done, stage) == len(stage.steps)
