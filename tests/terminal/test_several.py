"""Several answers to one question: keys that mark, Enter that goes on; a line of keys.

Reaches terminal.loop, terminal.choices, terminal.keys, terminal.live_key and terminal.plain too.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.job.events import Complained, Event, MoreLeft, Opened
from diagnose.job.state import fold
from diagnose.terminal.door import Door, Settings
from diagnose.terminal.keys import Press, read
from diagnose.terminal.plain import PlainDoor
from diagnose.terminal.talk import talk
from tests.real_pack import shop_reasoner

TALK = Conversation(shop_reasoner())
BEGUN: list[Event] = [
    Opened(pack="rear_air_shock", knowledge=""),
    Complained(text="it creaks"),
    MoreLeft(),
]


def there(door: Door, *, plain: bool = False) -> set[str] | None:
    """What the shock has after a talk; None where nobody said."""
    saved: list[Event] = []
    talk(
        TALK,
        list(BEGUN),
        saved.extend,
        clock=lambda: "",
        person="AB",
        settings=Settings(plain=plain, width=80, guard=0.0),
        door=door,
    )
    known = fold([*BEGUN, *saved]).shock
    return {name for name, has in known.items() if has} if known else None


def by_lines(*lines: str) -> tuple[set[str] | None, str]:
    out = io.StringIO()
    door = PlainDoor(io.StringIO("".join(f"{line}\n" for line in lines)), out, 80)
    return there(door, plain=True), out.getvalue()


@pytest.mark.parametrize("size", [(80, 24), (40, 15)])
@pytest.mark.parametrize(
    ("keys", "has"),
    [
        (["1", "5", "\r"], {"piggyback", "compression_knob"}),
        (["1", "5", "1", "\r"], {"compression_knob"}),
        (["2", "8"], {"lockout"}),
        (["8"], set()),
        (["0"], None),
    ],
)
def test_keys_mark_and_enter_goes_on(
    size: tuple[int, int],
    keys: list[str],
    has: set[str] | None,
    typist: Callable[..., Any],
) -> None:
    # On a small screen the last rows are turned to first.
    turned = ["\r", "\r"] if size[1] < 20 else []
    door = typist(size, [*turned, *keys, "q"])
    assert there(door) == has
    marked = [" ".join(" ".join(view).split()) for view in door.views]
    assert any("Keys, then Enter; 8 at once." in view for view in marked)
    if keys[-1] == "\r":
        assert any("[x] A compression knob" in view for view in marked)
        assert any("That is all" in view for view in marked)


def test_enter_alone_answers_nothing(typist: Callable[..., Any]) -> None:
    door = typist((80, 50), ["\r", "q"])
    assert there(door) is None
    assert "Enter answers nothing" in " ".join(" ".join(door.views[1]).split())


@pytest.mark.parametrize("line", ["1 5", "15", "5, 1", "1,5"])
def test_a_line_of_keys_answers_at_once(line: str) -> None:
    assert by_lines(line, "q")[0] == {"piggyback", "compression_knob"}


def test_a_line_with_a_wrong_key_answers_nothing() -> None:
    has, text = by_lines("1 z", "", "8", "q")
    assert has == set()
    assert "'1 z' does nothing here" in text


def test_where_one_answer_is_wanted_several_keys_mean_nothing() -> None:
    assert read("1 2", ["1", "2"], []) == Press("unknown", "1 2")
    assert read("12", ["1", "2"], [], several=True) == Press("answer", "12")
    assert read("13", ["1", "2"], [], several=True).kind == "unknown"
