"""The customer's word: which answer counts for which stage, and what a conversation makes of it.

Reaches conversation.endings and conversation.sheet_steps too.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError, RefusedError
from diagnose.job import gate
from diagnose.job.agreement import agreed_words, untold, word_on
from diagnose.job.events import (
    Answered,
    Approved,
    Event,
    Filed,
    NoteLeft,
    Opened,
    Quoted,
    Readied,
    SheetChosen,
    Stepped,
)
from diagnose.job.facts import Facts
from diagnose.job.gate import House
from diagnose.job.state import fold
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning import pricing
from tests.real_pack import shop_reasoner
from tests.safety.attack import StubReasoner, stub_decision, stubbed

AIR, DAMPER, FULL = "air_can_service", "damper_service", "full_service"
STAMP: dict[str, Any] = {"person": "AB", "time": "2031-04-12T09:00:00+00:00"}


@pytest.fixture
def knowledge() -> Knowledge:
    return shop_reasoner().knowledge


def yes(*stages: str, up_to: float | None = None) -> Approved:
    return Approved(stages=list(stages), up_to=up_to, **STAMP)


def no(*stages: str, told: str = "It may go flat.") -> Approved:
    return Approved(stages=list(stages), declined=True, told=told, **STAMP)


@pytest.mark.parametrize(
    ("answers", "agreed"),
    [
        ([], {AIR: None, DAMPER: None, FULL: None}),
        ([yes(FULL)], {AIR: True, DAMPER: True, FULL: True}),
        ([yes(AIR)], {AIR: True, DAMPER: None, FULL: None}),
        ([yes(AIR), no(FULL)], {AIR: True, DAMPER: None, FULL: False}),
        ([no(AIR), yes(FULL)], {AIR: True, DAMPER: True, FULL: True}),
        ([yes(FULL), no(AIR)], {AIR: False, DAMPER: True, FULL: True}),
        ([yes(FULL), no()], {AIR: False, DAMPER: False, FULL: False}),
        ([no(), yes(AIR)], {AIR: True, DAMPER: False, FULL: False}),
        ([yes()], {AIR: None, DAMPER: None, FULL: None}),
    ],
)
def test_the_latest_word_on_a_stage_counts(
    knowledge: Knowledge, answers: list[Approved], agreed: dict[str, bool | None]
) -> None:
    for stage, expected in agreed.items():
        word = word_on(knowledge, stage, answers)
        assert (None if word is None else not word.declined) == expected, stage
        assert gate.approved(knowledge, stage, fold(answers)) == (expected is True), stage


def test_what_was_agreed_in_words(knowledge: Knowledge) -> None:
    assert agreed_words(knowledge, fold([]), "EUR") == ""
    said = agreed_words(knowledge, fold([yes(AIR, up_to=80), no(FULL)]), "EUR")
    full = knowledge.stages[FULL].name
    assert said == f"The customer agreed to: air can service, up to 80 EUR; declined: {full}."
    assert agreed_words(knowledge, fold([no()]), "EUR") == "The customer declined everything."


def test_a_refusal_wants_to_know_what_was_told() -> None:
    assert untold(fold([no(AIR, told="")]))
    assert not untold(fold([no(AIR, told="")] + [NoteLeft()]))
    assert not untold(fold([no(AIR)]))
    assert not untold(fold([no(AIR, told=""), yes(AIR)]))


class Plans(StubReasoner):
    """Plans one stage and advises nothing."""

    stage = AIR

    def view(self, job: Any) -> Any:
        view = super().view(job)
        view.advice.step, view.belief.signs = None, []
        view.decision = stub_decision(self, [self.stage], False)
        return view


class Bench:
    """A person at the bench, before the sheet of a stage."""

    def __init__(self, *more: Event, house: House | None = None, stage: str = AIR) -> None:
        reasoner = Plans(shop_reasoner().knowledge, 0)
        reasoner.stage = stage
        self.talk = Conversation(reasoner, house=house)  # type: ignore[arg-type]
        self.events: list[Event] = [
            Opened(pack="p", knowledge="", at="bench", **STAMP),
            Answered(ask="said_air_loss", state="overnight", **STAMP),
            *more,
            SheetChosen(stage=stage, **STAMP),
        ]

    @property
    def prompt(self) -> Prompt:
        with stubbed():
            return self.talk.prompt(self.events, "AB")

    def reply(self, value: object) -> Sequence[Event]:
        with stubbed():
            prompt = self.talk.prompt(self.events, "AB")
            new = self.talk.reply(self.events, prompt, value, **STAMP)
        self.events += new
        return new


def test_a_stage_waits_for_one_key_and_then_goes_on() -> None:
    bench = Bench()
    assert bench.prompt.id == f"approval:{AIR}"
    assert [a.state for a in bench.prompt.answers] == ["agreed", "declined", "ask_later"]
    bench.reply("agreed")
    assert bench.prompt.id == f"step:{AIR}:0"


def test_not_reached_it_waits_and_may_be_left() -> None:
    bench = Bench()
    (asked,) = bench.reply("ask_later")
    assert asked == Quoted(stages=[AIR], **STAMP)
    assert "asked 1x" in bench.prompt.text
    assert bench.prompt.answers[-1].state == "leave"
    assert bench.reply("leave") == []
    bench.reply("agreed")
    assert bench.prompt.id == f"step:{AIR}:0"


def test_a_refusal_is_kept_with_what_was_told_and_opens_nothing() -> None:
    bench = Bench()
    bench.reply("declined")
    assert (bench.prompt.kind, bench.prompt.id) == ("text", "told")
    with pytest.raises(InputError):
        bench.reply("  ")
    bench.reply("Ride it gently; come back when it sinks.")
    last = fold(bench.events).approved
    assert last is not None
    assert (last.declined, last.stages) == (True, [AIR])
    assert last.told == "Ride it gently; come back when it sinks."
    assert bench.prompt.id == "decide"
    assert "diagnose jobs approve" in bench.prompt.text


def test_what_was_told_may_be_left_out() -> None:
    bench = Bench()
    bench.reply("declined")
    with stubbed():
        bench.events += bench.talk.command(bench.events, bench.prompt, "skip", **STAMP)
    assert bench.prompt.id == "decide"


def test_more_than_was_agreed_to_is_asked_again() -> None:
    bench = Bench(yes(AIR), stage=FULL)
    assert bench.prompt.id == f"approval:{FULL}"
    assert "agreed to: air can service" in bench.prompt.text
    with stubbed(), pytest.raises(RefusedError, match="diagnose jobs approve"):
        step = Prompt("question", f"step:{FULL}:0", "", answers=bench.prompt.answers)
        bench.talk.reply(bench.events, step, "agreed", **STAMP)


def test_a_plan_dearer_than_was_agreed_to_is_asked_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pricing, "price_of", lambda *_: 120.0)
    bench = Bench(yes(AIR, up_to=100))
    assert bench.prompt.id == f"approval:{AIR}"
    assert "about 120 EUR" in bench.prompt.text
    bench.reply("agreed")
    assert bench.prompt.id == f"step:{AIR}:0"
    assert Bench(yes(AIR, up_to=121)).prompt.id == f"step:{AIR}:0"


def test_a_sheet_that_is_begun_is_not_stopped_by_its_price(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pricing, "price_of", lambda *_: 120.0)
    bench = Bench(yes(AIR, up_to=100), Stepped(stage=AIR, number=0, **STAMP))
    assert bench.prompt.id == f"step:{AIR}:1"


def test_where_nothing_is_asked_a_sheet_begins_at_once_unless_somebody_asked() -> None:
    house = House(asks=False)
    assert Bench(house=house).prompt.id == f"step:{AIR}:0"
    assert Bench(Quoted(stages=[AIR], **STAMP), house=house).prompt.id == f"approval:{AIR}"
    assert Bench(no(AIR), house=house).prompt.id == "decide"
    assert Bench(yes(AIR), house=house, stage=FULL).prompt.id == f"approval:{FULL}"


def test_what_cannot_be_closed_again_is_not_opened() -> None:
    house = House(lacks=lambda stage, sheet: ["needle"] if sheet.get("fitting") else [])
    assert Bench(yes(AIR), house=house).prompt.id == f"step:{AIR}:0"
    bench = Bench(yes(AIR), Filed(facts=Facts(sheet_values={"fitting": "needle"})), house=house)
    assert bench.prompt.id == "decide"
    assert "diagnose jobs refer" in bench.prompt.text


def test_the_last_step_of_the_plan_makes_it_ready(knowledge: Knowledge) -> None:
    steps = len(knowledge.stages["no_service"].steps)
    done = [Stepped(stage="no_service", number=n, **STAMP) for n in range(steps - 1)]
    bench = Bench(*done, stage="no_service")
    while bench.prompt.kind == "caution":
        bench.reply(bench.prompt.answers[0].key)
    new = bench.reply("done")
    assert isinstance(new[-1], Readied)
    assert fold(bench.events).ready
