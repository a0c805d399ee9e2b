"""What a sheet's step uncovers is held against what the plan expects, and asked for where it lies.

Reaches conversation.sheet_steps, knowledge.cross_checks, reasoning.options and decision too.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt, keyed
from diagnose.errors import RefusedError
from diagnose.job.events import (
    NOT_SURE,
    Answered,
    Approved,
    Compared,
    Event,
    Happened,
    Opened,
    SheetChosen,
    Stepped,
    Withdrawn,
)
from diagnose.job.state import fold
from diagnose.knowledge.cross_checks import find_problems
from diagnose.knowledge.device import CAN_CLOSE
from diagnose.knowledge.loader import read_pack
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.open_options import open_at
from tests.kettle import PACK, write_kettle
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())
KNOWLEDGE = TALK.reasoner.knowledge
SHEET = KNOWLEDGE.sheets["air_can_service"]
OPEN = next(n for n, step in enumerate(SHEET.steps) if step.uncovers)
BUMPER = next(n for n, s in enumerate(SHEET.steps) if "bench_top_out_can_off" in s.asks)
OPENED = next(n for n, step in enumerate(SHEET.steps) if "opened" in step.does)
STAMP: dict[str, Any] = {"person": "AB", "time": "2026-03-02T09:00"}
INSIDE = f"inside:{SHEET.id}:{OPEN}"

#: loses air at the can's mouth, and nothing else is wrong
LEAK = (
    ("said_not_serviced", "yes", "customer"),
    ("bench_bubbles_wiper", "stream", "bench"),
    ("bench_bubbles_valve", "none", "bench"),
    ("bench_slider", "no", "bench"),
)
#: knocks at full length with the air out: one of two bumpers
CLUNK = (("bench_top_out", "hard", "bench"), ("bench_top_out_air_out", "yes", "bench"))


def through(last: int, *said: tuple[str, str, str], refilled: bool = False) -> list[Event]:
    """A job after this step of the sheet."""
    events: list[Event] = [Opened(pack="rear_air_shock", knowledge="", at="bench", **STAMP)]
    events += [Answered(ask=ask, state=state, by=by, **STAMP) for ask, state, by in said]  # type: ignore[arg-type]
    events += [
        SheetChosen(stage=SHEET.id, **STAMP),
        Approved(stages=[SHEET.id], **STAMP),
    ]
    for number in range(last + 1):
        events.append(Stepped(stage=SHEET.id, number=number, **STAMP))
        if number == OPENED:
            events.append(Happened(what="opened", step=f"step:{SHEET.id}:{number}", **STAMP))
    return [*events, Happened(what="refilled", **STAMP)] if refilled else events


def prompt(events: list[Event]) -> Prompt:
    return TALK.prompt(events, "AB")


def answered(events: list[Event], value: str) -> list[Event]:
    return [*events, *TALK.reply(events, prompt(events), value, **STAMP)]


def compared(events: list[Event], value: str) -> list[Event]:
    """The same job once it was said whether it is what was expected, wherever that is asked."""
    while prompt(events).id.startswith("inside:"):
        events = answered(events, value)
    return events


# what is only seen there -----------------------------------------------------------------------


def test_it_is_asked_for_once_the_step_that_uncovers_it_is_done() -> None:
    assert prompt(through(OPEN - 1)).id == f"step:{SHEET.id}:{OPEN}"
    events = compared(through(OPEN), "yes")
    order = []
    while not (ident := prompt(events).id).startswith("step:"):
        order.append(ident)
        events = answered(events, NOT_SURE)
    assert order == ["bench_spacers", "bench_negative_spacer"]
    assert ident == f"step:{SHEET.id}:{OPEN + 1}"


def test_the_answer_is_a_report_of_the_bench_and_counts_at_once() -> None:
    begun = compared(
        through(
            OPEN,
            ("said_bottoms_hard", "often", "customer"),
            ("said_after_service", "yes", "customer"),
        ),
        "yes",
    )
    assert prompt(begun).id == "bench_spacers"
    events = answered(begun, "yes")
    view = TALK.reasoner.view(fold(events))
    said = [(item.finding, item.state, item.by) for item in view.belief.items]
    assert ("spacers_off", "yes", "bench") in said
    before = TALK.reasoner.view(fold(begun)).belief.causes
    left_out = "spacer_left_out_after_service"
    assert view.belief.causes[left_out] > 2 * before[left_out]
    assert not any(isinstance(event, Happened) for event in events[len(begun) :])


def test_what_was_told_before_or_makes_no_sense_is_not_asked() -> None:
    known = ("bench_spacers", "no", "bench")
    assert prompt(compared(through(OPEN, known), "yes")).id == "bench_negative_spacer"
    # The damper is pulled to its end by hand where something knocks there with the air out.
    quiet = compared(through(BUMPER, *LEAK), "yes")
    assert prompt(quiet).id == f"step:{SHEET.id}:{BUMPER + 1}"
    knocks = compared(through(BUMPER, *CLUNK), "yes")
    assert prompt(knocks).id == "bench_top_out_can_off"


def test_as_a_check_of_its_own_it_is_never_offered() -> None:
    for events in (through(0, *CLUNK), through(OPENED, *CLUNK, refilled=True)):
        view = TALK.reasoner.view(fold(events))
        ids = {option.id for option in open_at(view.belief, "bench", gated=False)}
        assert not ids & {"bench_spacers", "bench_negative_spacer", "bench_top_out_can_off"}


def test_where_what_is_found_speaks_for_another_plan_the_next_step_says_so() -> None:
    events = compared(through(BUMPER, *CLUNK), "yes")
    assert "another plan" not in " ".join(prompt(answered(events, "no")).steps)
    assert "another plan now: damper service" in " ".join(prompt(answered(events, "yes")).steps)


# is it what we expected ------------------------------------------------------------------------


def test_what_is_expected_is_said_before_it_is_opened_and_asked_once_it_is() -> None:
    seal = KNOWLEDGE.causes["can_seal_worn"].inside
    closing = next(n for n, step in enumerate(SHEET.steps) if CAN_CLOSE in step.marks)
    before = prompt(through(closing - 1, *LEAK))
    assert before.id == f"step:{SHEET.id}:{closing}" and any(seal in s for s in before.steps)
    view = TALK.reasoner.view(fold(through(0, *LEAK)))
    assert any(seal in line for line in judge(TALK.reasoner, view).stage.inside)
    asked = prompt(through(OPEN, *LEAK))
    assert asked.id == INSIDE and seal in asked.steps[0] and len(asked.steps) <= 2
    assert [a.state for a in asked.answers] == ["yes", "no"] and "not_sure" in asked.commands


def test_what_was_expected_is_not_asked_again_and_leaves_belief_as_it_was() -> None:
    begun = through(OPEN, *LEAK)
    events = answered(begun, "yes")
    assert prompt(events).id == "bench_spacers"
    one, other = (TALK.reasoner.view(fold(e)).belief.causes for e in (begun, events))
    assert one == other
    done = [*events, *(Stepped(stage=SHEET.id, number=n, **STAMP) for n in range(OPEN, BUMPER + 1))]
    assert not prompt(done).id.startswith("inside:")


def test_who_cannot_say_yet_is_asked_again_where_more_is_seen() -> None:
    events = answered(through(OPEN, *LEAK), NOT_SURE)
    assert prompt(events).id == "bench_spacers"
    later = range(OPEN + 1, BUMPER + 1)
    events += [Stepped(stage=SHEET.id, number=n, **STAMP) for n in later]
    assert prompt(events).id == f"inside:{SHEET.id}:{BUMPER}"


def test_something_else_inside_sets_the_sheet_back_and_stays_unexplained(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Any plan that is likely enough would do, but for what is unexplained.
    monkeypatch.setattr("diagnose.reasoning.decision.SURE", 0.3)
    begun = through(OPEN, *LEAK)
    before = TALK.reasoner.view(fold(begun))
    assert before.decision.sure_enough
    events = answered(begun, "no")
    told = events[-1]
    assert isinstance(told, Compared) and told.causes[0] == "can_seal_worn" and told.state == "no"
    after = TALK.reasoner.view(fold(events))
    assert after.belief.causes["can_seal_worn"] < before.belief.causes["can_seal_worn"]
    said = judge(TALK.reasoner, after)
    assert not said.sure_enough and any("unexplained" in text for text in said.warnings)
    stale = prompt(answered(begun, "yes"))
    step = replace(
        stale, id=f"step:{SHEET.id}:{OPEN + 1}", answers=tuple(keyed([("done", "Done")]))
    )
    with pytest.raises(RefusedError, match="not what was expected"):
        TALK.reply(events, step, "done", **STAMP)
    # The questions go on, as far as they fit what lies open; then somebody chooses.
    asked = []
    while (here := prompt(events)).id != "decide":
        asked.append(here.id)
        assert KNOWLEDGE.device.may_lie_open(KNOWLEDGE.checks[here.id].does)
        if here.kind == "caution":
            events = answered(events, here.answers[0].state)
        else:
            events = answered(events, NOT_SURE)
    assert [a.state for a in here.answers] == ["sheet", "close", "leave"]
    assert not any(isinstance(e, (Happened, Stepped)) for e in events[len(begun) :])
    on = answered(events, "sheet")
    assert isinstance(on[-1], SheetChosen) and on[-1].stage == SHEET.id
    assert not TALK.reasoner.view(fold(on)).decision.sure_enough


def test_what_is_likely_next_is_held_against_it_and_explains_it() -> None:
    events = answered(through(OPEN, *LEAK), "no")
    denied = fold(events).denied
    events.append(SheetChosen(stage=SHEET.id, **STAMP))
    while prompt(events).id.startswith("inside:"):
        causes = TALK.reasoner.view(fold(events)).decision.inside(SHEET.id, "air")
        assert not denied & {*causes}
        events = answered(events, "yes")
        assert not fold(events).unexplained
    assert not prompt(events).id.startswith("inside:")


def test_a_slip_of_the_key_is_taken_back() -> None:
    begun = through(OPEN, *LEAK)
    events = answered(begun, "no")
    back = TALK.command(events, prompt(events), "back", **STAMP)
    assert back == [Withdrawn(number=len(events) - 1, **STAMP)]
    assert prompt([*events, *back]).id == INSIDE


# the cards -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("step", "needs", "what"),
    [
        ({"asks": ["bench_lit"]}, [], "asks: no check of the bench 'bench_lit'"),
        ({"asks": ["look_cord"]}, [], "asks: no check of the bench 'look_cord'"),
        ({"asks": ["bench_heat"]}, [], "asks: 'bench_heat' does something to it"),
        ({}, ["apart"], "'apart' is only so in the middle of a sheet"),
        ({"uncovers": "steam_space"}, [], "uncovers: this sheet leaves 'steam_space' shut"),
        ({"uncovers": "boiler"}, [], "inside: nobody says what it looks like"),
    ],
)
def test_what_nobody_can_see_or_tell_is_a_problem(
    tmp_path: Path, step: dict[str, Any], needs: list[str], what: str
) -> None:
    apart = {"says": "it is closed", "made_by": ["unscrewed"], "spoiled_by": ["filled"]}
    changes = {
        "kettle/device.yaml:conditions": {"apart": apart},
        "kettle/checks/bench_leak.yaml:needs": needs,
        "kettle/stages/base_service.yaml:steps.2": {
            "do": "Open the base.", "does": ["touched", "unscrewed"], **step,
        },
    }  # fmt: skip
    knowledge, lines, _ = read_pack(write_kettle(tmp_path, changes), PACK)
    assert knowledge is not None
    assert any(what in problem.what for problem in find_problems(knowledge, lines))


def test_what_opens_nothing_is_not_seen_inside(tmp_path: Path) -> None:
    changes = {"kettle/causes/limescale.yaml:inside": "white crust"}
    knowledge, lines, _ = read_pack(write_kettle(tmp_path, changes), PACK)
    assert knowledge is not None
    problems = [problem.what for problem in find_problems(knowledge, lines)]
    assert "inside: its remedy opens nothing." in problems
