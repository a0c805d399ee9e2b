"""A screen that nobody touches goes blank; the key that brings it back answers nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from diagnose.terminal.door import Block, Screen
from diagnose.terminal.idle import Idle
from diagnose.terminal.keys import Press
from diagnose.terminal.parts import note

Make = Callable[..., Any]
SAID = "the customer's own words"


def question(width: int) -> list[Block]:
    return [
        *note("question", f"Is it so: {SAID}?")(width),
        Block(((("key", "1"), ("", " Yes")),), frozenset({"1"})),
    ]


@pytest.mark.parametrize("size", [(80, 24), (40, 15), (30, 10)])
def test_words_are_hidden_and_the_first_key_only_shows_them(
    size: tuple[int, int], typist: Make
) -> None:
    door = typist(size, ["", "1", "1"], idle=0.05)
    door.say(note("", f"Said before: {SAID}"))
    assert door.key(Screen(question, ("1",), ())) == Press("answer", "1")
    shown = [" ".join(" ".join(view).split()) for view in door.views]
    assert SAID in shown[0]
    assert SAID not in shown[1] and "Hidden while nobody is here" in shown[1]
    assert SAID in shown[2], "shown again, and not answered by the key that showed it"


def test_a_line_being_typed_is_hidden_and_kept(typist: Make) -> None:
    door = typist((80, 24), ["16", "", "x", "5\r"], idle=0.3)
    assert door.line(Screen(question)) == "165"
    assert any("Hidden" in row for view in door.views for row in view)


def test_without_a_time_nothing_is_ever_hidden(typist: Make) -> None:
    door = typist((80, 24), ["x", "x", "1"])
    door.key(Screen(question, ("1",), ()))
    assert all(SAID in " ".join(view) for view in door.views)


def test_a_touched_screen_waits_anew() -> None:
    time = [0.0]
    idle = Idle(60.0, lambda: time[0])
    assert not idle.touched()
    idle.hidden = True
    assert idle.touched() and not idle.hidden
