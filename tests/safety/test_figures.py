"""Not so many warnings that nobody reads them: keys of a sheet gone through by one person."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.knowledge.loader import load
from diagnose.knowledge.root import knowledge_root
from diagnose.session.conversation import Conversation
from diagnose.session.events import Acknowledged, Answered, Approved, Event, Opened, Skipped
from tests.safety.attack import StubReasoner, stubbed

KNOWLEDGE = load(knowledge_root(None))
STAMP: dict[str, Any] = {"person": "AB", "time": "2026-03-02T09:00"}


@pytest.mark.parametrize(
    ("stage", "most"),
    [
        ("no_service", 1),
        ("on_bike_hardware", 0),
        ("air_can_service", 3),
        ("damper_service", 5),
        ("full_service", 6),
        ("do_not_open", 0),
    ],
)
def test_keys_of_a_sheet(stage: str, most: int) -> None:
    talk = Conversation(StubReasoner(KNOWLEDGE, 0))  # type: ignore[arg-type]
    events: list[Event] = [
        Opened(pack="p", knowledge="", at="bench", **STAMP),
        Answered(ask="said_air_loss", state="overnight", **STAMP),
        Skipped(ask=f"sheet:{stage}", **STAMP),
        Approved(stages=[stage], **STAMP),
    ]
    key = ""
    with stubbed():
        for _ in range(3 * len(KNOWLEDGE.stages[stage].steps)):
            prompt = talk.prompt(events, "AB", key)
            if not prompt.id.startswith("step:"):
                break
            key = prompt.answers[0].key
            events += talk.reply(events, prompt, key, **STAMP)
    done = {e.number for e in events if e.kind == "stepped"}
    assert done == set(range(len(KNOWLEDGE.stages[stage].steps)))
    assert sum(isinstance(e, Acknowledged) for e in events) <= most


def test_no_counter_check_waits_for_more_than_one_key_and_few_wait_at_all() -> None:
    waiting = [
        check.id
        for check in KNOWLEDGE.checks.values()
        if check.at == "counter" and any(KNOWLEDGE.hazards[h].acknowledge for h in check.hazards)
    ]
    assert len(waiting) <= 2, f"a counter has no time for keys: {waiting}"
