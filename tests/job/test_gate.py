"""Who may do what when: keys, rights, breaks, order, approval.

Reaches conversation.answers, conversation.guarding and reasoning.chosen_sheet too.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.conversation.conversation import Conversation
from diagnose.errors import InputError, RefusedError
from diagnose.job import gate
from diagnose.job.events import (
    Acknowledged,
    Answered,
    Approved,
    Closed,
    Event,
    HandedOver,
    Happened,
    Opened,
    Resumed,
    SheetChosen,
    Skipped,
    Stepped,
)
from diagnose.job.state import LONG_BREAK, fold, long_break
from diagnose.knowledge.loader import Knowledge
from diagnose.symptom_graph.routes import check_deed, step_deed
from tests.real_pack import shop_knowledge
from tests.safety.attack import PEOPLE, StubReasoner, stubbed
from tests.safety.probes import acknowledgements, conversation_guards

STAMP: dict[str, Any] = {"person": "AA", "time": "2026-03-02T09:00"}
STAGE = "air_can_service"
VENT = 5
# One that draws in is pumped back within the same step.
KEYED_AT_VENT = ["air_pressure", "trapped_negative", "over_pressure"]


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return shop_knowledge()


def job(*more: Event) -> list[Event]:
    """A job at the venting step of an approved sheet, then ``more``."""
    begin: list[Event] = [
        Opened(pack="p", knowledge="", at="bench", **STAMP),
        Answered(ask="said_air_loss", state="overnight", **STAMP),
        SheetChosen(stage=STAGE, **STAMP),
        Approved(stages=[STAGE], **STAMP),
    ]
    return [*begin, *(Stepped(stage=STAGE, number=n, **STAMP) for n in range(VENT)), *more]


def talk(knowledge: Knowledge, roles: gate.Roles | None = None) -> Conversation:
    return Conversation(StubReasoner(knowledge, 0), roles)  # type: ignore[arg-type]


def test_keys_hold_for_one_person_and_one_state(knowledge: Knowledge) -> None:
    assert list(acknowledgements(knowledge)) == []


def test_conversation_asks_the_gate_again_when_the_reply_comes(knowledge: Knowledge) -> None:
    assert list(conversation_guards(knowledge)) == []


@pytest.mark.parametrize(
    "event",
    [
        HandedOver(to="AA", at="bench", **STAMP),
        Resumed(**STAMP),
        Happened(what="cycled", **STAMP),
        Answered(ask="x", state="y", person="AA", time="2026-03-02T10:00"),
    ],
    ids=lambda e: e.kind,
)
def test_a_key_lapses(knowledge: Knowledge, event: Event) -> None:
    deed = step_deed(knowledge, knowledge.stages[STAGE], VENT)
    key = Acknowledged(hazards=KEYED_AT_VENT, step=deed.ident, **STAMP)
    assert gate.clearance(knowledge, deed, fold(job(key)), "AA").waiting == ()
    waiting = gate.clearance(knowledge, deed, fold(job(key, event)), "AA").waiting
    assert set(waiting) == set(KEYED_AT_VENT)


@given(minutes=st.integers(-600, 600))
def test_a_break_is_long_from_half_an_hour_either_way(minutes: int) -> None:
    hours, rest = divmod(720 + minutes, 60)
    later = f"2026-03-02T{hours:02d}:{rest:02d}" if hours < 24 else "2026-03-03T00:00"
    distance = abs(minutes) if hours < 24 else 720
    assert long_break("2026-03-02T12:00", later) == (distance * 60 > LONG_BREAK)


@pytest.mark.parametrize(
    ("earlier", "later", "expected"),
    [
        ("", "2026-03-02T12:00", False),
        ("2026-03-02T12:00", "", False),
        ("2026-03-02T12:00", "2026-03-02T12:00+01:00", True),
        ("yesterday", "2026-03-02T12:00", True),
    ],
)
def test_times_that_cannot_be_compared(earlier: str, later: str, expected: bool) -> None:
    assert long_break(earlier, later) == expected


def test_an_apprentice_is_asked_for_a_second_name_and_both_are_kept(knowledge: Knowledge) -> None:
    conversation = talk(knowledge, gate.Roles(PEOPLE))
    stamp = {**STAMP, "person": "CC"}
    with stubbed():
        events = job()
        caution = conversation.prompt(events, "CC")
        assert caution.kind == "caution"
        events += conversation.reply(events, caution, caution.answers[0].key, **stamp)
        asked = conversation.prompt(events, "CC")
        assert asked.kind == "text"
        assert asked.cautions == caution.cautions
        for wrong in ("CC", "BB", "nobody", ""):
            with pytest.raises(InputError):
                conversation.reply(events, asked, wrong, **stamp)
        (signed,) = conversation.reply(events, asked, " AA ", **stamp)
        assert isinstance(signed, Acknowledged)
        assert (signed.person, signed.supervisor) == ("CC", "AA")
        events.append(signed)
        step = conversation.prompt(events, "CC")
        assert (step.kind, step.id) == ("question", f"step:{STAGE}:{VENT}")
        # Read whole a moment ago: the same cautions, with their first sentence.
        assert [c.id for c in step.cautions] == [c.id for c in caution.cautions]
        assert [c.text for c in step.cautions] == [c.text for c in caution.cautions]
        assert all(c.again and c.said == knowledge.cautions[c.id].hazard for c in step.cautions)
        assert any(isinstance(e, Stepped) for e in conversation.reply(events, step, "1", **stamp))


def test_a_shop_without_a_list_lets_everybody_do_everything(knowledge: Knowledge) -> None:
    conversation = talk(knowledge)
    with stubbed():
        events = job()
        caution = conversation.prompt(events, "ZZ")
        events += conversation.reply(events, caution, "7", person="ZZ", time=STAMP["time"])
        assert conversation.prompt(events, "ZZ").id == f"step:{STAGE}:{VENT}"


def test_the_key_is_never_the_one_just_pressed(knowledge: Knowledge) -> None:
    conversation = talk(knowledge)
    with stubbed():
        for last in map(str, range(10)):
            prompt = conversation.prompt(job(), "AA", last)
            assert [a.key for a in prompt.answers] == ["8" if last == "7" else "7"]
            with pytest.raises(InputError):
                conversation.reply(job(), prompt, last, **STAMP)


def test_a_reply_after_a_long_break_brings_the_cautions_back(knowledge: Knowledge) -> None:
    conversation = talk(knowledge)
    with stubbed():
        events = job()
        events += conversation.reply(events, conversation.prompt(events, "AA"), "7", **STAMP)
        step = conversation.prompt(events, "AA")
        new = conversation.reply(events, step, "1", person="AA", time="2026-03-02T09:40")
        assert [e.kind for e in new] == ["resumed"]
        assert conversation.prompt([*events, *new], "AA").kind == "caution"


def test_can_we_close_it_again_is_asked_in_so_many_words(knowledge: Knowledge) -> None:
    with stubbed():
        prompt = talk(knowledge).prompt(job()[:5], "AA")
    assert prompt.text.startswith("air can service, step 2 of")
    assert [a.text for a in prompt.answers] == [
        "Yes, we can close it again today",
        "No: it is not opened today",
    ]


def test_declined_and_smaller_approvals_open_nothing(knowledge: Knowledge) -> None:
    deed = step_deed(knowledge, knowledge.stages["damper_service"], VENT)
    for stages, declined, agreed in (
        (["damper_service"], False, True),
        (["full_service"], False, True),
        (["air_can_service"], False, False),
        (["full_service"], True, False),
        ([], False, False),
    ):
        state = fold([Approved(stages=stages, declined=declined)])
        assert gate.approved(knowledge, deed.stage, state) == agreed


def test_a_closed_job_and_a_check_under_a_sign_are_refused(knowledge: Knowledge) -> None:
    deed = check_deed(knowledge, knowledge.checks["bench_core"])
    with pytest.raises(RefusedError, match="closed"):
        gate.require_way(knowledge, deed, fold([Closed()]), sign=False)
    with pytest.raises(RefusedError, match="trapped"):
        gate.require_way(knowledge, deed, fold([]), sign=True)
    gate.require_way(knowledge, deed, fold([]), sign=False)


def test_a_hand_over_in_the_middle_of_a_sheet_goes_on_with_the_sheet(knowledge: Knowledge) -> None:
    with stubbed():
        events = job(HandedOver(to="BB", at="bench", **STAMP))
        prompt = talk(knowledge).prompt(events, "BB")
    assert (prompt.kind, prompt.id) == ("caution", f"step:{STAGE}:{VENT}")


def test_a_step_for_another_kind_of_shock_is_told_so_and_falls_away(knowledge: Knowledge) -> None:
    stage = knowledge.stages["full_service"]
    first = next(n for n, step in enumerate(stage.steps) if step.applies_when)
    events: list[Event] = [
        Opened(pack="p", knowledge="", at="bench", **STAMP),
        SheetChosen(stage=stage.id, **STAMP),
        Approved(stages=[stage.id], **STAMP),
        *(Stepped(stage=stage.id, number=n, **STAMP) for n in range(first)),
        *(Skipped(ask=ask, **STAMP) for step in stage.steps[:first] for ask in step.asks),
    ]
    with stubbed():
        conversation = talk(knowledge)
        held = conversation.prompt(events, "AA")
        events += conversation.reply(events, held, held.answers[0].key, **STAMP)
        prompt = conversation.prompt(events, "AA")
        assert f"step {first + 1} of {len(stage.steps)}. Without a reservoir: " in prompt.text
        assert [a.state for a in prompt.answers] == ["done", "stop", "other:piggyback"]
        assert prompt.answers[2].text == "Not this shock: it is with a reservoir"
        events += conversation.reply(events, prompt, "3", **STAMP)
        assert fold(events).shock == {"piggyback": True}
        assert conversation.prompt(events, "AA").id == f"step:{stage.id}:{first + 1}"
        assert first not in [n for _, n in fold(events).steps]
