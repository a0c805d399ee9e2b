"""Whole talks over the real knowledge: saved before shown, cautions first, left at any prompt.

Reaches terminal.choosing, terminal.loop, terminal.reasons, terminal.safety, terminal.transcript,
terminal.verdict and terminal.words too.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

import pytest

from diagnose.bench.typed import read, with_unit
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import StoreError
from diagnose.job.ending import Ending
from diagnose.job.events import (
    Acknowledged,
    Closed,
    ClosingBegun,
    ClosingNoted,
    Complained,
    Event,
    HandedOver,
    Noted,
    Opened,
)
from diagnose.job.state import fold
from diagnose.reasoning.judgement import AnswerLine, ReadingLine, caution_lines
from diagnose.symptom_graph.cautions import every_caution, must_acknowledge, required_cautions
from diagnose.terminal.choices import MORE, offered
from diagnose.terminal.choosing import menu
from diagnose.terminal.door import Outcome, Settings
from diagnose.terminal.plain import PlainDoor
from diagnose.terminal.readings import OTHERS, Form, type_readings
from diagnose.terminal.talk import talk
from tests.real_pack import shop_reasoner

SETTINGS = Settings(plain=True, width=80)
WORDS = "sucked down overnight, bit of oil on the shaft"


@pytest.fixture
def conversation() -> Conversation:
    return Conversation(shop_reasoner())


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
        papers={"job sheet": lambda _: "THE SHEET"},
    )
    return outcome, " ".join(out.getvalue().split()), saved


def test_every_answer_is_saved_and_the_end_of_input_leaves(conversation: Conversation) -> None:
    begun = opened(conversation)
    outcome, text, saved = plain_talk(conversation, begun, [WORDS, "", "1", "1"])
    assert outcome.left in ("left", "done") and outcome.status == 0
    assert outcome.events == [*begun, *saved] and len(saved) >= 3
    assert WORDS in text


def test_leave_the_valve_alone_is_said_before_the_first_question(
    conversation: Conversation,
) -> None:
    _, text, _ = plain_talk(conversation, opened(conversation), [], said=WORDS)
    caution = conversation.reasoner.knowledge.cautions["leave_valve_alone"]
    assert f"{caution.hazard} {caution.consequence} {caution.avoidance}" in text
    assert text.index(caution.avoidance) < text.index("Anything else it does")


def test_no_acknowledgement_before_its_cautions_were_said_whole(
    conversation: Conversation,
) -> None:
    """Say the first answer to all; a caution waits for 7, or 8 where 7 was the last key."""
    knowledge = conversation.reasoner.knowledge
    said = Complained(text="loses air overnight, a hiss at the valve")
    begun = [*opened(conversation), said, HandedOver(to="ab", at="bench")]
    outcome, text, _ = plain_talk(conversation, begun, ["1", "7", "8"] * 10)
    hazards = [h for e in outcome.events if isinstance(e, Acknowledged) for h in e.hazards]
    assert hazards, "the script met no caution"
    for hazard in hazards:
        for ident in knowledge.hazards[hazard].cautions:
            caution = knowledge.cautions[ident]
            whole = f"{caution.signal_word}: {caution.hazard} {caution.consequence}"
            assert f"{whole} {caution.avoidance}" in text
            assert text.index(caution.avoidance) < text.index("Noted: Read and understood")


def test_blank_lines_answer_nothing_but_what_is_proposed_and_unknown_keys_say_so(
    conversation: Conversation,
) -> None:
    said = "loses air overnight"
    outcome, text, _ = plain_talk(conversation, opened(conversation), ["", "", "zz"], said=said)
    assert "'zz' does nothing here" in text
    assert [e.kind for e in outcome.events] == ["opened", "complained", "more_left"]


def test_back_takes_the_last_answer_back(conversation: Conversation) -> None:
    outcome, _, _ = plain_talk(conversation, opened(conversation), ["", "8", "."], said=WORDS)
    kinds = [e.kind for e in outcome.events if e.kind != "judged"]
    assert kinds[-1] == "withdrawn"


def test_why_safety_and_menu_add_nothing(conversation: Conversation) -> None:
    keys = ["+", "5", "*", "5", "/", "."]
    outcome, text, _ = plain_talk(conversation, opened(conversation), keys, said=WORDS)
    assert [e.kind for e in outcome.events] == ["opened", "complained"]
    assert "What now?" in text
    for card in every_caution(conversation.reasoner.knowledge):
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


def test_what_somebody_else_wrote_counts_and_the_answer_is_asked_again(
    conversation: Conversation,
) -> None:
    saved: list[Event] = []
    theirs = Noted(text="tag 12", person="CD")

    def save(new: Sequence[Event]) -> None:
        if theirs not in saved and any(event.kind == "answered" for event in new):
            saved.append(theirs)
            fault = StoreError("CD wrote to this job meanwhile: noted.")
            fault.meanwhile = [theirs]
            raise fault
        saved.extend(new)

    begun = opened(conversation)
    outcome, text, _ = plain_talk(conversation, begun, ["", "0", "1", "1"], save, said=WORDS)
    assert outcome.events == [*begun, *saved]
    assert not outcome.unsaved
    assert text.count("CD wrote to this job meanwhile") == 1
    assert theirs in outcome.events and "answered" in [e.kind for e in outcome.events]


def test_nonsense_gets_the_main_complaints_by_number(conversation: Conversation) -> None:
    outcome, text, _ = plain_talk(conversation, opened(conversation), ["2"], said="qwrtz")
    assert 'not understood: "qwrtz"' in text
    lines = conversation.reasoner.knowledge.pack.main_complaints[:9]
    assert all(f"{n} {line.text}" in text for n, line in enumerate(lines, 1))
    assert "show the others" not in text, "nine stand there, each under its key"
    assert outcome.events[-1].kind in ("understood", "judged")


def test_a_screen_talk_leaves_a_clean_transcript(
    conversation: Conversation, typist: Callable[..., Any]
) -> None:
    door = typist((80, 24), ["loses air overnight\r", "\r", "0", "q"])
    saved: list[Event] = []
    outcome = talk(
        conversation,
        opened(conversation),
        saved.extend,
        clock=lambda: "",
        person="ab",
        settings=Settings(),
        door=door,
    )
    assert outcome.left == "left" and len(outcome.events) > 2
    above = door.paper.scrolled
    assert "> loses air overnight" in above and "menu" not in above


@pytest.mark.parametrize(
    ("key", "kinds"), [("u", ["more_left"]), ("b", ["withdrawn"]), ("i", ["booked"]), ("h", [])]
)
def test_one_sign_alone_is_a_key_at_the_open_question_too(
    key: str, kinds: list[str], conversation: Conversation
) -> None:
    begun = [*opened(conversation), Complained(text=WORDS)]
    outcome, text, _ = plain_talk(conversation, begun, [key])
    new = [event.kind for event in outcome.events[len(begun) :] if event.kind != "judged"]
    assert new == kinds
    assert ("spares the questions" in text) == (key == "h")


def test_more_than_one_sign_at_the_open_question_is_said(conversation: Conversation) -> None:
    begun = [*opened(conversation), Complained(text=WORDS)]
    outcome, _, _ = plain_talk(conversation, begun, ["it was wet"])
    assert fold(outcome.events).said == (WORDS, "it was wet")


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


def taken(name: str, text: str) -> tuple[str, str]:
    """As a conversation takes a pressure."""
    found = read(text, "air pressure", unit="psi")
    return with_unit(text, "psi"), found.question


@pytest.mark.parametrize(
    ("keys", "form"),
    [
        (["165", ""], Form({"gauge": "165 psi"})),
        (["165", "12 bar"], Form({"gauge": "165 psi", "usual": "12 bar"})),
        (["0", ""], Form({"gauge": "0 psi"})),
        (["abc", "9000", "165", "-"], Form({"gauge": "165 psi"})),
        (["165", ".", "", "150"], Form({"gauge": "165 psi", "usual": "150 psi"})),
        (["165", ".", "156", ""], Form({"gauge": "156 psi"})),
        (["30 bar", "n", "30", ""], Form({"gauge": "30 psi"})),
        (["30 bar", "y", ""], Form({"gauge": "30 bar"})),
        (["", "165", "+"], Form(command="why")),
        (["."], Form(command="back")),
        (["-"], Form(command="skip")),
        (["u"], Form(command="not_sure")),
        (["e"], Form(command=OTHERS)),
    ],
)
def test_a_reading_is_one_number_and_one_enter(keys: list[str], form: Form) -> None:
    """What is wrong is said at its own line, and nothing typed is lost."""
    out = io.StringIO()
    door = PlainDoor(io.StringIO("".join(f"{key}\n" for key in keys)), out, 80)
    commands = ("not_sure", "back", "why", "skip", "safety", "leave")
    found = type_readings(door, READINGS, taken, kept={}, commands=commands, others="judged by eye")
    assert found == form
    said = out.getvalue()
    assert ("'abc' does not begin with a number" in said) is ("abc" in keys)
    assert ("9000 psi cannot be" in said) is ("9000" in keys)
    assert "before" not in said and "air_pressure" not in said, "no id of the code"


def test_what_was_typed_is_offered_again() -> None:
    kept = {"gauge": "165 psi"}
    door = PlainDoor(io.StringIO("\n\n"), io.StringIO(), 80)
    assert type_readings(door, READINGS, taken, kept=kept) == Form({"gauge": "165 psi"})


class Fixed:
    """A conversation that asks what it is told to, over the real knowledge."""

    def __init__(self, conversation: Conversation, prompts: Sequence[Prompt]) -> None:
        self.reasoner = conversation.reasoner
        self.command = conversation.command
        self.reply = conversation.reply
        self._prompts = prompts

    def prompt(self, events: Sequence[Event], person: str = "") -> Prompt:
        return self._prompts[min(len(events) - 2, len(self._prompts) - 1)]


def fixed_talk(
    conversation: Conversation, prompts: Sequence[Prompt], keys: Sequence[str]
) -> Outcome:
    said = Complained(text="loses air overnight")
    events = [*opened(conversation), said]
    outcome, _, _ = plain_talk(Fixed(conversation, prompts), events, keys)  # type: ignore[arg-type]
    return outcome


@pytest.mark.parametrize(
    ("keys", "closed"), [(["1"], False), (["1", "."], False), (["1", "5"], True)]
)
def test_a_job_closes_only_after_a_second_key(
    keys: list[str], closed: bool, conversation: Conversation
) -> None:
    said = ClosingNoted(ending=Ending(found=["not_looked"]))
    events = [*opened(conversation), Complained(text="loses air"), ClosingBegun(), said]
    outcome, _, _ = plain_talk(conversation, events, keys)
    assert any(isinstance(event, Closed) for event in outcome.events) == closed


@pytest.mark.parametrize(("keys", "count"), [(["7", "7"], 0), (["7", "7", "8"], 1)])
def test_a_caution_is_acknowledged_by_another_key_than_the_last_answer(
    keys: list[str], count: int, conversation: Conversation
) -> None:
    knowledge = conversation.reasoner.knowledge
    check, waiting = next(
        (card, hazards)
        for card in knowledge.checks.values()
        if (hazards := must_acknowledge(knowledge, card.does, {}))
    )
    state = conversation.reasoner.card("said_creak").answers[0].state
    question = Prompt(
        "question",
        "said_creak",
        "Does it creak?",
        answers=(AnswerLine(key="7", state=state, text="The first"),),
    )
    caution = Prompt(
        "caution",
        check.id,
        "Before: the step",
        acknowledge=tuple(waiting),
        cautions=tuple(caution_lines(required_cautions(knowledge, check.does, {}))),
        answers=(AnswerLine(key="7", state="acknowledged", text="Read and understood"),),
    )
    outcome = fixed_talk(conversation, [question, caution], keys)
    assert [event.kind for event in outcome.events].count("acknowledged") == count


def test_a_refused_key_asks_for_the_prompt_as_it_is_now(conversation: Conversation) -> None:
    """Cautions that were shown before something changed cannot be acknowledged."""
    stale = Prompt(
        "caution",
        next(iter(conversation.reasoner.knowledge.checks)),
        "Before: the step",
        acknowledge=("none",),
        answers=(AnswerLine(key="7", state="x", text="Read"),),
    )
    asked: list[int] = []

    class Counting(Fixed):
        def prompt(self, events: Sequence[Event], person: str = "") -> Prompt:
            asked.append(len(events))
            return stale

    counting = Counting(conversation, [stale])
    outcome, _, _ = plain_talk(counting, opened(conversation), ["7", "8"])  # type: ignore[arg-type]
    assert len(asked) == 3 and len(outcome.events) == 1


def test_a_line_with_cautions_shows_them_first(conversation: Conversation) -> None:
    cards = list(conversation.reasoner.knowledge.cautions.values())[:2]
    prompt = Prompt("text", "words", "Whose initials?", cautions=tuple(caution_lines(cards)))
    begun = [*opened(conversation), Complained(text="loses air")]
    fixed = Fixed(conversation, [prompt])
    outcome, text, _ = plain_talk(fixed, begun, ["1", "cd"])  # type: ignore[arg-type]
    assert text.index(cards[1].avoidance) < text.index("Whose initials?")
    assert isinstance(outcome.events[-1], Complained) and outcome.events[-1].text == "cd"


class Torn(io.StringIO):
    """A reader that went away after some lines."""

    def write(self, text: str) -> int:
        if self.tell() > 600:
            raise BrokenPipeError
        return super().write(text)


def test_a_closed_pipe_loses_nothing(conversation: Conversation) -> None:
    saved: list[Event] = []
    door = PlainDoor(io.StringIO(f"{WORDS}\n1\n"), Torn(), 80)
    outcome = talk(
        conversation,
        opened(conversation),
        saved.extend,
        clock=lambda: "",
        person="ab",
        settings=SETTINGS,
        door=door,
    )
    assert (outcome.left, outcome.status) == ("interrupted", 141)
    assert [event.kind for event in saved] == ["complained"]


@pytest.mark.parametrize("more", [{}, {"job sheet": "Show it"}, {"job sheet": "", "again": ""}])
def test_the_menu_keeps_its_digits_whatever_is_there(more: dict[str, str]) -> None:
    door = PlainDoor(io.StringIO("7\n"), io.StringIO(), 80)
    assert menu(door, ("book", "leave"), more) == "leave"
    door = PlainDoor(io.StringIO("5\n"), io.StringIO(), 80)
    assert menu(door, ("book", "leave"), more) == "book"


@pytest.mark.parametrize(
    ("words", "said"),
    [("stuck down wont come up", True), ("it is a bit soft", False)],
)
def test_what_stops_it_stays_in_view_while_questions_go_on(
    words: str, said: bool, conversation: Conversation
) -> None:
    """Three questions on, one of them about the pump, the first warning had scrolled away."""
    _, text, _ = plain_talk(conversation, opened(conversation), ["", "8", "1", "0"], said=words)
    assert (
        "STOP RIDING as it stands now. Nothing is let out, filled or opened."
        in " ".join(text.split())
    ) is said
