"""A caution stands whole the first time in a visit, and short for whoever read it whole."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import RefusedError
from diagnose.job.events import (
    Answered,
    Approved,
    Event,
    HandedOver,
    Happened,
    Noted,
    Opened,
    Read,
    Resumed,
    SheetChosen,
    Stepped,
)
from diagnose.job.state import fold
from diagnose.knowledge.loader import Knowledge
from tests.real_pack import shop_knowledge
from tests.safety.attack import StubReasoner, stubbed

STAGE = "air_can_service"
STAMP: dict[str, Any] = {"person": "AA", "time": "2026-03-02T09:00"}
LATER = "2026-03-02T09:31"


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return shop_knowledge()


@pytest.fixture
def talk(knowledge: Knowledge) -> Conversation:
    return Conversation(StubReasoner(knowledge, 0))  # type: ignore[arg-type]


def at_step(number: int, *more: Event) -> list[Event]:
    return [
        Opened(pack="p", knowledge="", at="bench", **STAMP),
        Answered(ask="said_air_loss", state="overnight", **STAMP),
        SheetChosen(stage=STAGE, **STAMP),
        Approved(stages=[STAGE], **STAMP),
        *(Stepped(stage=STAGE, number=n, **STAMP) for n in range(number)),
        *more,
    ]


def shown(talk: Conversation, events: list[Event], person: str = "AA") -> dict[str, bool]:
    """Caution -> whether it stands short."""
    with stubbed():
        return {line.id: line.again for line in talk.prompt(events, person).cautions}


def read_first_step(talk: Conversation) -> list[Event]:
    """Events of a job whose first step, hot and under pressure, was done by AA."""
    with stubbed():
        events = at_step(0)
        prompt = talk.prompt(events, "AA")
        assert {line.id for line in prompt.cautions} == {"air_pressure", "hot_shock"}
        return [*events, *talk.reply(events, prompt, "1", **STAMP)]


def test_whole_the_first_time_and_kept_as_read(talk: Conversation) -> None:
    events = read_first_step(talk)
    (read,) = [event for event in events if isinstance(event, Read)]
    assert set(read.cautions) == {"air_pressure", "hot_shock"}
    assert fold(events).read == {("AA", "air_pressure"), ("AA", "hot_shock")}


def test_short_the_second_time_with_the_whole_text_beside_it(
    talk: Conversation, knowledge: Knowledge
) -> None:
    events = [*read_first_step(talk), *at_step(5)[5:]]
    with stubbed():
        prompt = talk.prompt(events, "AA")
    again = {line.id: line for line in prompt.cautions if line.again}
    assert set(again) == {"air_pressure"}
    card, line = knowledge.cautions["air_pressure"], again["air_pressure"]
    assert line.said == card.hazard
    assert line.text == f"{card.hazard} {card.consequence} {card.avoidance}"


@pytest.mark.parametrize(
    "event",
    [
        HandedOver(to="AA", at="bench", **STAMP),
        Resumed(**STAMP),
        Noted(text="lunch", person="AA", time=LATER),
    ],
    ids=lambda e: e.kind,
)
def test_a_visit_ends(talk: Conversation, event: Event) -> None:
    events = read_first_step(talk)
    assert fold([*events, event]).read == frozenset()


def test_a_physical_event_ends_the_key_and_not_the_reading(talk: Conversation) -> None:
    events = [*read_first_step(talk), Happened(what="cycled", **STAMP)]
    assert ("AA", "air_pressure") in fold(events).read


def test_another_person_reads_it_whole(talk: Conversation) -> None:
    events = [*read_first_step(talk), *at_step(5)[5:]]
    assert shown(talk, events)["air_pressure"]
    assert not any(shown(talk, events, "BB").values())


def short_prompt(talk: Conversation) -> tuple[list[Event], Prompt]:
    events = [*read_first_step(talk), *at_step(3)[5:]]
    with stubbed():
        step = talk.prompt(events, "AA")
        events += talk.reply(events, step, "1", **STAMP)
        events += [Stepped(stage=STAGE, number=4, **STAMP)]
        prompt = talk.prompt(events, "AA")
    assert any(line.again for line in prompt.cautions)
    return events, prompt


def test_a_short_screen_counts_for_nobody_else(talk: Conversation) -> None:
    events, prompt = short_prompt(talk)
    key = prompt.answers[0].key
    with stubbed(), pytest.raises(RefusedError, match="not read whole"):
        talk.reply(events, prompt, key, person="BB", time=STAMP["time"])


def test_a_short_screen_counts_no_more_after_a_long_break(talk: Conversation) -> None:
    events, prompt = short_prompt(talk)
    with stubbed():
        new = talk.reply(events, prompt, prompt.answers[0].key, person="AA", time=LATER)
    assert [event.kind for event in new] == ["resumed"]
    assert not any(shown(talk, [*events, *new]).values())


def test_what_was_typed_in_elsewhere_was_not_read_here(talk: Conversation) -> None:
    typed = Answered(ask="bench_core", state="no", by="bench", **STAMP)
    assert fold(at_step(0, typed)).read == frozenset()
