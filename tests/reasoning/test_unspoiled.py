"""What a step would spoil goes before it; what it has spoiled is not offered, and says why by hand.

Reaches conversation.questions too.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from diagnose.reasoning.unspoiled import unspoiled_first

from diagnose.conversation.conversation import Conversation
from diagnose.job.events import Answered, Event, HandedOver, Happened, Opened
from diagnose.job.state import fold
from diagnose.reasoning.advice import Advice
from diagnose.reasoning.reasoner import Reasoner
from tests.kettle import kettle

#: the drips are looked for as it came in; to measure the heat it is filled
CHANGES = {
    "kettle/device.yaml:conditions": {
        "as_it_came": {"says": "it was filled since", "spoiled_by": ["filled"]}
    },
    "kettle/checks/bench_leak.yaml:needs": ["as_it_came"],
}
BENCH: list[Event] = [
    Opened(pack="kettle", knowledge=""),
    Answered(ask="said_stays_cold", state="lukewarm"),
    Answered(ask="said_drips", state="drips"),
    HandedOver(to="", at="bench"),
]
FILLED = Happened(what="filled", step="bench_heat")


@pytest.fixture(scope="module")
def reasoner(tmp_path_factory: pytest.TempPathFactory) -> Reasoner:
    folder: Path = tmp_path_factory.mktemp("kettle")
    return Reasoner(kettle(folder, CHANGES))


def advised(reasoner: Reasoner, step: str, *events: Event) -> Advice:
    advice = reasoner.view(fold([*BENCH, *events])).advice
    return unspoiled_first(replace(advice, step=step))


def test_what_needs_it_as_it_came_goes_before_what_spoils_that(reasoner: Reasoner) -> None:
    assert advised(reasoner, "bench_heat").step == "bench_leak"
    assert advised(reasoner, "bench_lid").step == "bench_lid"
    done = Answered(ask="bench_leak", state="dry", by="bench")
    assert advised(reasoner, "bench_heat", done).step == "bench_heat"


def test_what_tells_too_little_is_let_go(reasoner: Reasoner) -> None:
    """That it drips is proved: to look once more tells hardly anything."""
    drips = Answered(ask="look_drips", state="drips", by="counter")
    more = Answered(ask="said_lid_jammed", state="opens")
    advice = reasoner.view(fold([*BENCH, drips, more])).advice
    few = [o for o in advice.options if o.id in ("bench_heat", "bench_leak")]
    assert {o.id for o in few} == {"bench_heat", "bench_leak"}
    flat = [
        replace(o, outcomes=0 * o.outcomes + 1 / o.outcomes.shape[1]) if "leak" in o.id else o
        for o in few
    ]
    values = advice.outlook.values[: len(flat)]
    outlook = replace(advice.outlook, values=values)
    told = replace(advice, options=flat, outlook=outlook, step="bench_heat")
    assert unspoiled_first(told).step == "bench_heat"


def test_what_is_spoiled_is_not_offered(reasoner: Reasoner) -> None:
    before = {option.id for option in reasoner.view(fold(BENCH)).advice.options}
    after = {option.id for option in reasoner.view(fold([*BENCH, FILLED])).advice.options}
    assert before - after == {"bench_leak"}


def test_asked_for_by_hand_it_says_why(reasoner: Reasoner) -> None:
    talk = Conversation(reasoner)
    assert talk.again(BENCH, "bench_leak").steps == ()
    assert "it was filled since" in talk.again([*BENCH, FILLED], "bench_leak").steps[0]
