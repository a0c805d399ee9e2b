"""Whole talks over the real knowledge: saved before shown, cautions first, left at any prompt."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from diagnose.errors import StoreError
from diagnose.knowledge.root import knowledge_root, load_cached
from diagnose.session.conversation import Conversation
from diagnose.session.events import Acknowledged, Complained, Event, HandedOver, Opened
from diagnose.session.judgement import AnswerLine, ReadingLine
from diagnose.session.reasoner import Reasoner
from diagnose.terminal.choices import MORE, offered
from diagnose.terminal.door import Outcome, Settings
from diagnose.terminal.plain import PlainDoor
from diagnose.terminal.readings import type_readings
from diagnose.terminal.talk import talk

SETTINGS = Settings(plain=True, width=80)
WORDS = "sucked down overnight, bit of oil on the shaft"


@pytest.fixture(scope="module")
def conversation(tmp_path_factory: pytest.TempPathFactory) -> Conversation:
    cache = tmp_path_factory.mktemp("cache")
    return Conversation(Reasoner(load_cached(knowledge_root(None), Path(cache))))


def opened(conversation: Conversation) -> list[Event]:
    knowledge = conversation.reasoner.knowledge
    return [Opened(pack=knowledge.pack.id, knowledge=knowledge.fingerprint)]


def plain_talk(
    conversation: Conversation,
    events: list[Event],
    lines: Sequence[str],
    save: Callable[[Sequence[Event]], None] | None = None,
    said: str = "",
) -> tuple[Outcome, str, list[Event]]:
    saved: list[Event] = []
    out = io.StringIO()
    door = PlainDoor(io.StringIO("".join(f"{line}\n" for line in lines)), out, 80)
    outcome = talk(
        conversation,
        events,
        save or saved.extend,
        clock=lambda: "2026-01-05T10:00:00+00:00",
        person="ab",
        settings=SETTINGS,
        said=said,
        door=door,
        sheet=lambda _: "THE SHEET",
    )
    return outcome, " ".join(out.getvalue().split()), saved


def test_every_answer_is_saved_and_the_end_of_input_leaves(conversation: Conversation) -> None:
    begun = opened(conversation)
    outcome, text, saved = plain_talk(conversation, begun, [WORDS, "1", "1"])
    assert outcome.left in ("left", "done") and outcome.status == 0
    assert outcome.events == [*begun, *saved] and len(saved) >= 3
    assert WORDS in text


def test_leave_the_valve_alone_is_said_before_the_first_question(
    conversation: Conversation,
) -> None:
    _, text, _ = plain_talk(conversation, opened(conversation), [], said=WORDS)
    caution = conversation.reasoner.knowledge.cautions["leave_valve_alone"]
    assert f"{caution.hazard} {caution.consequence} {caution.avoidance}" in text
    assert text.index(caution.avoidance) < text.index(" 1 ")


def test_no_acknowledgement_before_its_cautions_were_said_whole(
    conversation: Conversation,
) -> None:
    """Say the first answer to all; a caution waits for 7, or 8 where 7 was the last key."""
    knowledge = conversation.reasoner.knowledge
    begun = [*opened(conversation), Complained(text=WORDS), HandedOver(to="ab", at="bench")]
    outcome, text, _ = plain_talk(conversation, begun, ["1", "7", "8"] * 10)
    hazards = [h for e in outcome.events if isinstance(e, Acknowledged) for h in e.hazards]
    assert hazards, "the script met no caution"
    for hazard in hazards:
        for ident in knowledge.hazards[hazard].cautions:
            caution = knowledge.cautions[ident]
            whole = f"{caution.signal_word}: {caution.hazard} {caution.consequence}"
            assert f"{whole} {caution.avoidance}" in text
            assert text.index(caution.avoidance) < text.index("Noted: Read and understood")


def test_blank_lines_answer_nothing_and_unknown_keys_say_so(conversation: Conversation) -> None:
    outcome, text, _ = plain_talk(conversation, opened(conversation), ["", "", "zz"], said=WORDS)
    assert "'zz' does nothing here" in text
    assert [e.kind for e in outcome.events] == ["opened", "complained"]


def test_back_takes_the_last_answer_back(conversation: Conversation) -> None:
    outcome, _, _ = plain_talk(conversation, opened(conversation), ["1", "."], said=WORDS)
    kinds = [e.kind for e in outcome.events if e.kind != "judged"]
    assert kinds[-1] == "withdrawn"


def test_why_safety_and_menu_add_nothing(conversation: Conversation) -> None:
    keys = ["+", "5", "*", "5", "/", "."]
    outcome, text, _ = plain_talk(conversation, opened(conversation), keys, said=WORDS)
    assert [e.kind for e in outcome.events] == ["opened", "complained"]
    assert "What now?" in text
    for card in conversation.reasoner.knowledge.cautions.values():
        assert " ".join(card.avoidance.split()) in text, "the safety screen has every caution whole"


def test_a_store_that_fails_is_said_and_the_talk_goes_on(conversation: Conversation) -> None:
    def save(_: Sequence[Event]) -> None:
        raise StoreError("the disk is full.")

    begun = opened(conversation)
    outcome, text, _ = plain_talk(conversation, begun, ["1"], save, said=WORDS)
    assert text.count("NOT SAVED: the disk is full.") == 1
    assert outcome.unsaved == outcome.events[1:] and len(outcome.unsaved) >= 2


def test_a_store_that_comes_back_gets_everything(conversation: Conversation) -> None:
    saved: list[Event] = []
    tries = iter([True, False, False, False, False])

    def save(new: Sequence[Event]) -> None:
        if next(tries, False):
            raise StoreError("the disk is full.")
        saved.extend(new)

    begun = opened(conversation)
    outcome, _, _ = plain_talk(conversation, begun, ["1"], save, said=WORDS)
    assert not outcome.unsaved and outcome.events == [*begun, *saved]


def test_nonsense_gets_the_main_complaints_by_number(conversation: Conversation) -> None:
    outcome, text, _ = plain_talk(conversation, opened(conversation), ["2"], said="qwrtz")
    assert "it loses air" in text and "9 None of these: show the others" in text
    assert outcome.events[-1].kind in ("answered", "judged")


def test_a_screen_talk_leaves_a_clean_transcript(
    conversation: Conversation, typist: Callable[..., Any]
) -> None:
    door = typist((80, 24), ["loses air overnight", "\r", "0", "q"])
    saved: list[Event] = []
    outcome = talk(
        conversation, opened(conversation), saved.extend, clock=lambda: "", person="ab",
        settings=Settings(), door=door,
    )
    assert outcome.left == "left" and len(outcome.events) > 2
    above = door.paper.scrolled
    assert "> loses air overnight" in above and "menu" not in above


def test_ten_answers_are_all_under_a_digit() -> None:
    rows = [AnswerLine(key=str(n % 10), state=f"s{n}", text=f"t{n}") for n in range(1, 11)]
    first, second = offered(rows), offered(rows, 1)
    assert [a.key for a in first] == list("123456789") and first[-1].state == MORE
    assert [a.state for a in second[:-1]] == ["s9", "s10"]
    assert {a.state for a in (*first, *second)} == {*(r.state for r in rows), MORE}


READINGS = (
    ReadingLine(name="gauge", text="gauge as found", unit="psi"),
    ReadingLine(name="usual", text="usual pressure", unit="psi", optional=True),
)


@pytest.mark.parametrize(
    ("keys", "values"),
    [
        (["165", "1", ""], {"gauge": "165 psi"}),
        (["165", "2", "156", "1", "12 bar", "1"], {"gauge": "156 psi", "usual": "12 bar"}),
        ([""], None),
    ],
)
def test_readings_are_echoed_and_confirmed(keys: list[str], values: object) -> None:
    out = io.StringIO()
    door = PlainDoor(io.StringIO("".join(f"{key}\n" for key in keys)), out, 80)
    assert type_readings(door, READINGS, plain=True) == values
    if values:
        assert "gauge as found: 165 psi?" in out.getvalue()
