"""The screen's manners: keys that were not meant, sizes that change, ends of all kinds.

Reaches terminal.live_key, terminal.running and terminal.surface too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from prompt_toolkit.completion import CompleteEvent
from prompt_toolkit.document import Document

from diagnose.terminal.door import Block, Interrupted, Left, Screen
from diagnose.terminal.keys import Press
from diagnose.terminal.live_line import completer, last_part
from diagnose.terminal.parts import note, text_block

Make = Callable[..., Any]


def yes_or_no(width: int) -> list[Block]:
    words = "Is the ring of the slider where the rider left it after the last hard ride?"
    return [
        text_block("question", words, width),
        Block(((("key", "1"), ("", " Yes")),), frozenset({"1"})),
        Block(((("key", "2"), ("", " No")),), frozenset({"2"})),
    ]


QUESTION = Screen(yes_or_no, ("1", "2"), ("not_sure", "back", "leave"))


def test_a_digit_answers(typist: Make) -> None:
    assert typist((80, 24), ["2"]).key(QUESTION) == Press("answer", "2")


def test_y_answers_yes_but_not_before_that_was_shown(typist: Make) -> None:
    spoken = replace(QUESTION, letters={"y": "1", "n": "2"})
    assert typist((80, 24), ["n"]).key(spoken) == Press("answer", "2")
    door = typist((12, 6), ["n", *"\r" * 12, "n"])
    assert door.key(spoken) == Press("answer", "2")
    assert any("2 not shown" in row for view in door.views for row in view), "the first n"


def test_a_numpad_sign_is_a_command(typist: Make) -> None:
    assert typist((80, 24), ["0"]).key(QUESTION) == Press("command", "not_sure")


@pytest.mark.parametrize("key", ["7", "x", "*", "\x1b[15~", "\x1b[200~1\x1b[201~"])
def test_an_unknown_key_says_so_and_answers_nothing(key: str, typist: Make) -> None:
    door = typist((80, 24), [key, "1"])
    assert door.key(QUESTION) == Press("answer", "1")
    assert any("does nothing here" in row for row in door.views[-1])


def test_enter_answers_nothing(typist: Make) -> None:
    door = typist((80, 24), ["\r", "\r", "2"])
    assert door.key(QUESTION) == Press("answer", "2")
    assert any("Enter answers nothing" in row for row in door.views[-1])


@pytest.mark.parametrize("rows", range(4, 26))
@pytest.mark.parametrize("columns", [80, 40, 30])
def test_a_wrong_key_moves_no_page(columns: int, rows: int, typist: Make) -> None:
    """Where a screen just fitted, the word made two pages of it, and Enter never turned them."""
    door = typist((columns, rows), ["x", "\r", "x", *"\r\r\r\r\r\r", "2"])
    assert door.key(replace(QUESTION, draw=caution)) == Press("answer", "2")
    for view in door.views:
        assert any("does nothing here" in row for row in door.views[1]), "it is said"
        assert not any("Enter: next" in row for row in view) or _turns(door), "a page offered turns"


def caution(width: int) -> list[Block]:
    words = "Let the gas out before anything is opened. " * 4
    return [text_block("", words, width), *yes_or_no(width)]


def _turns(door: Any) -> bool:
    feet = [row for view in door.views for row in view if "Enter: next" in row]
    return len(set(feet)) > 1


def test_a_bounced_key_does_not_answer_the_next_question(typist: Make) -> None:
    time = [0.0]
    door = typist((80, 24), ["11", "1", "2"], guard=0.25, now=lambda: time[0])

    def tick() -> None:
        time[0] += 0.2

    door.on_view = tick
    assert door.key(QUESTION) == Press("answer", "1")
    door.script = ["1", "1", "1", "2"]
    assert door.key(QUESTION) == Press("answer", "1")
    assert len(door.script) == 2, "the first key came within the guard"


def test_enter_after_an_answer_taken_at_once_answers_nothing_more(typist: Make) -> None:
    """'Keys, then Enter': pressed after 'None', too, it is no answer to what comes next."""
    time = [0.0]
    door = typist((80, 24), ["2"], guard=0.25, now=lambda: time[0])

    def tick() -> None:
        time[0] += 0.6

    door.on_view = tick
    several = replace(QUESTION, marks=set(), alone="2")
    assert door.key(several) == Press("answer", "2")
    door.script = ["\r", "7", "\r"]
    said = Screen(lambda width: [text_block("question", "Anything else?", width)])
    assert door.line(said) == "7", "an Enter with words before it is meant"
    door.script = ["\r"]
    assert door.line(said) == ""


def test_keys_typed_ahead_are_forgotten(typist: Make) -> None:
    door = typist((80, 24), ["12"])
    assert door.key(QUESTION).name == "1"
    door.script = ["1"]
    assert door.key(QUESTION).name == "1", "the 2 was typed before this question was there"


def test_a_new_size_wraps_the_open_question_anew(typist: Make) -> None:
    door = typist((80, 24), ["x", "x", "1"])

    def narrow() -> None:
        if len(door.views) == 1:
            door.paper.screen.resize(columns=30)

    door.on_view = narrow
    door.key(QUESTION)
    rows = [line[0][1] for block in yes_or_no(30)[:1] for line in block.lines]
    assert len(rows) > 2
    for row in rows:
        assert row in door.views[-1]


def test_the_open_question_leaves_only_the_transcript(typist: Make) -> None:
    door = typist((40, 15), ["1"])
    door.say(note("", "What was answered before."))
    door.key(QUESTION)
    door.say(note("", "The ring: yes"))
    shown = [row for row in door.paper.rows if row]
    assert shown == ["What was answered before.", "The ring: yes"]


@pytest.mark.parametrize(("key", "reason"), [("\x03", Interrupted), ("\x04", Left)])
def test_control_keys_end_the_question(key: str, reason: type[Exception], typist: Make) -> None:
    with pytest.raises(reason):
        typist((80, 24), [key]).key(QUESTION)
    with pytest.raises(reason):
        typist((80, 24), [key]).line(Screen(yes_or_no))


def test_a_closed_keyboard_saves_and_leaves(typist: Make) -> None:
    with pytest.raises(Left):
        typist((80, 24), []).key(QUESTION)


def test_a_line_is_taken_whole_and_harmless(typist: Make) -> None:
    door = typist((30, 10), ["loses air over", "night, \x1b[200~oil\nmist\x1b[201~", "\r"])
    assert door.line(Screen(yes_or_no)) == "loses air overnight, oil mist"


def test_completion_offers_what_goes_on_from_the_last_words() -> None:
    known = {"los": ["loses air", "loses " + "x" * 60]}
    sayings = completer(lambda typed: known.get(typed, []), lambda: 40)
    found = list(sayings.get_completions(Document("clunks, los"), CompleteEvent()))
    assert [(c.text, c.start_position) for c in found] == [("loses air", -3)], "none is cut"


def test_slow_work_shows_when_it_is_there(typist: Make) -> None:
    said: list[str] = []

    def draw(width: int) -> list[Block]:
        return [*yes_or_no(width), *(text_block("", text, width) for text in said)]

    def later() -> None:
        said.append("62 % likely")

    door = typist((80, 24), ["x"] * 20 + ["1"])
    door.key(Screen(draw, ("1",), (), later))
    assert "62 % likely" in door.views[-1]


@pytest.mark.parametrize(
    ("text", "part"), [("it clunks and loses a", "loses a"), ("oil. No pl", "No pl"), ("", "")]
)
def test_the_part_being_typed(text: str, part: str) -> None:
    assert last_part(text) == part


def test_what_is_too_high_for_a_line_goes_above_it_uncut(typist: Make) -> None:
    words = " ".join(f"word{n}" for n in range(60))
    door = typist((30, 10), ["ab", "\r"])
    assert door.line(Screen(note("", words))) == "ab"
    assert " ".join(door.paper.scrolled.split()).count("word") == 60


def test_what_comes_later_pushes_no_line_of_a_question_off_the_screen(typist: Make) -> None:
    """Suspects came in above a reading; its range and its keys were cut off below."""
    said: list[str] = []

    def draw(width: int) -> list[Block]:
        return [*(text_block("", text, width) for text in said), *yes_or_no(width)]

    door = typist((80, 8), ["", *"x" * 20, "\r"])
    door.line(Screen(draw, later=lambda: said.extend(["62 % likely"] * 8)))
    assert said and "2 No" in door.views[-1]
    said.clear()
    tall = typist((80, 24), [*"x" * 20, "\r"])
    tall.line(Screen(draw, later=lambda: said.append("62 % likely")))
    assert "62 % likely" in "\n".join(tall.views[-1]), "where there is room it is shown"


def test_a_bounced_key_does_not_get_into_a_line(typist: Make) -> None:
    time = [0.0]
    door = typist((80, 24), ["1", "165", "\r"], guard=0.25, now=lambda: time[0])

    def tick() -> None:
        time[0] += 0.2

    door.on_view = tick
    assert door.line(Screen(yes_or_no)) == "165"


def test_the_first_words_may_be_typed_before_the_prompt_is_there(typist: Make) -> None:
    door = typist((80, 24), ["it c", "lunks", "\r"], guard=10.0)
    assert door.line(Screen(yes_or_no, ahead=True)) == "it clunks"
