"""Not so many warnings that nobody reads them: keys and words that one person meets."""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from typing import Any

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.job.events import Acknowledged, Answered, Approved, Event, Opened, SheetChosen
from diagnose.symptom_graph.cautions import must_acknowledge, required_cautions
from tests.real_pack import shop_knowledge
from tests.safety.attack import StubReasoner, stubbed

KNOWLEDGE = shop_knowledge()
STAMP: dict[str, Any] = {"person": "AB", "time": "2026-03-02T09:00"}


def gone_through(stage: str) -> Iterator[tuple[Prompt, list[Event]]]:
    """Each prompt of a sheet and what its reply added."""
    talk = Conversation(StubReasoner(KNOWLEDGE, 0))  # type: ignore[arg-type]
    events: list[Event] = [
        Opened(pack="p", knowledge="", at="bench", **STAMP),
        Answered(ask="said_air_loss", state="overnight", **STAMP),
        SheetChosen(stage=stage, **STAMP),
        Approved(stages=[stage], **STAMP),
    ]
    asks = {ask for step in KNOWLEDGE.sheets[stage].steps for ask in step.asks}
    key = ""
    with stubbed():
        for _ in range(3 * len(KNOWLEDGE.sheets[stage].steps)):
            prompt = talk.prompt(events, "AB", key)
            if not prompt.id.startswith(("step:", "inside:")) and prompt.id not in asks:
                break
            key = prompt.answers[0].key
            new = talk.reply(events, prompt, key, **STAMP)
            events += new
            yield prompt, new


def words(text: str) -> int:
    return len(text.split())


@pytest.mark.parametrize(
    ("stage", "most"),
    [
        ("no_service", 1),
        ("on_bike_hardware", 0),
        # Let out, core and can off, filled; besides filled for the leak test and, when it was seen
        # to hold, let out again for the wheel's travel.
        ("air_can_service", 5),
        # Besides: charge out, charge in.
        ("recharge", 7),
        # Besides: the floating piston, which air or tool moves here too.
        ("damper_service", 8),
        ("full_service", 8),
        # Let down before the old one leaves, filled when the new one is in.
        ("replace_or_refer", 2),
        ("do_not_open", 0),
        # Let out, core out, filled, and gauged next morning.
        ("valve_core", 4),
        ("bushing_and_hardware", 0),
        ("bearing_eyelets", 0),
        ("remote_and_cable", 0),
    ],
)
def test_keys_of_a_sheet(stage: str, most: int) -> None:
    new = [event for _, events in gone_through(stage) for event in events]
    done = {e.number for e in new if e.kind == "stepped"}
    assert done == set(range(len(KNOWLEDGE.sheets[stage].steps)))
    assert sum(isinstance(e, Acknowledged) for e in new) <= most


def test_what_stands_before_a_guarded_step_is_short() -> None:
    """In the order of each sheet, whole the first time; a check as if it were the first thing."""
    said: list[int] = []
    first: list[int] = []
    for stage in KNOWLEDGE.sheets:
        before: dict[str, Prompt] = {}
        for prompt, _ in gone_through(stage):
            before.setdefault(prompt.id, prompt)
        guarded = [prompt.cautions for prompt in before.values() if prompt.cautions]
        said += [sum(words(line.said) for line in lines) for lines in guarded]
        first += [sum(words(line.text) for line in lines) for lines in guarded]
    for check in KNOWLEDGE.checks.values():
        cards = required_cautions(KNOWLEDGE, check.does, {})
        count = sum(words(f"{c.hazard} {c.consequence} {c.avoidance}") for c in cards)
        said += [count] if count else []
        first += [count] if count else []
    for name, counts in (("in order", said), ("each as the first", first)):
        middle, most = statistics.median(counts), max(counts)
        print(f"{name}: {len(counts)} guarded, median {middle:g} words, largest {most}")
    assert statistics.median(said) <= 60 and max(said) <= 150
    assert statistics.median(first) <= 60 and max(first) <= 150
    opening = [check.id for check in KNOWLEDGE.checks.values() if "opened" in check.does]
    assert not opening, "no check opens: a step of a sheet does, and asks for what it uncovered"


def test_no_counter_check_waits_for_more_than_one_key_and_few_wait_at_all() -> None:
    waiting = [
        check.id
        for check in KNOWLEDGE.checks.values()
        if check.at == "counter" and must_acknowledge(KNOWLEDGE, check.does, {})
    ]
    assert len(waiting) <= 2, f"a counter has no time for keys: {waiting}"
