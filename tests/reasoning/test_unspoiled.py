"""What a step has spoiled is not offered, and says why by hand.

Reaches conversation.questions too. That what a step would spoil goes before it is a matter of the
look-ahead: strategy/test_lookahead.py.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.job.events import Answered, Event, HandedOver, Happened, Opened
from diagnose.job.state import fold
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


def test_an_option_knows_what_it_needs_and_what_it_spoils(reasoner: Reasoner) -> None:
    options = {o.id: o for o in reasoner.view(fold(BENCH)).advice.options}
    assert options["bench_leak"].needs == options["bench_heat"].spoils == {"as_it_came"}
    assert not options["bench_lid"].needs and not options["bench_lid"].spoils


def test_what_is_spoiled_is_not_offered(reasoner: Reasoner) -> None:
    before = {option.id for option in reasoner.view(fold(BENCH)).advice.options}
    after = {option.id for option in reasoner.view(fold([*BENCH, FILLED])).advice.options}
    assert before - after == {"bench_leak"}


def test_asked_for_by_hand_it_says_why(reasoner: Reasoner) -> None:
    talk = Conversation(reasoner)
    assert talk.again(BENCH, "bench_leak").steps == ()
    assert "it was filled since" in talk.again([*BENCH, FILLED], "bench_leak").steps[0]
