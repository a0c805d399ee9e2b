"""What the bench adds to a screen: top line, tag, results of a list, what a reading comes to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from diagnose.bench import formulas
from diagnose.cells import cells, plain_text
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError
from diagnose.job.events import Answered, Complained, Event, HandedOver, Measured, Opened
from diagnose.reasoning.judgement import AnswerLine, ReadingLine
from diagnose.terminal.batching import ask_number, type_results
from diagnose.terminal.door import Block, Left, Screen, Settings
from diagnose.terminal.parts import text_block
from diagnose.terminal.readings import result_blocks, right_tag
from diagnose.terminal.screens import Scene, prompt_blocks
from diagnose.terminal.talk import talk
from tests.real_pack import shop_reasoner

Make = Callable[..., Any]
SIZES = [(80, 24), (40, 15), (30, 10)]
TOP = "1125-07, tag 07 | 230 x 65 mm | gas: negative, charge; empty: air"

READINGS = {
    "before": "165 psi",
    "after": "128 psi",
    "elapsed": "14 h",
    "temperature_before": "21 C",
    "temperature_after": "12 C",
    "reconnections": "1",
}
LOSS = formulas.compute("unexplained_loss_psi", formulas.read_all("unexplained_loss_psi", READINGS))
LISTED = (
    Prompt(
        "question",
        "look",
        "Is the lip torn, curled or standing out of its seat?",
        answers=(
            AnswerLine(key="1", state="no", text="Even lip all round"),
            AnswerLine(key="2", state="yes", text="Torn, curled or out"),
        ),
        why="wiper lip whole",
    ),
    Prompt(
        "readings",
        "gauge",
        "What does the gauge show?",
        readings=(ReadingLine(name="g", text="gauge as found", unit="psi"),),
        why="gauge as found",
    ),
)


def tall(width: int) -> list[Block]:
    words = [f"word{n}" for n in range(90)]
    return [
        *(text_block("", " ".join(words[n : n + 6]), width) for n in range(0, 90, 6)),
        Block(((("key", "1"), ("", " Yes")),), frozenset({"1"})),
    ]


@pytest.mark.parametrize("size", SIZES)
def test_the_top_line_stands_whole_on_every_page(size: tuple[int, int], typist: Make) -> None:
    door = typist(size, ["\r"] * 8)
    door.top = TOP
    with pytest.raises(Left):
        door.key(Screen(tall, ("1",), ("back", "leave", "menu")))
    assert len(door.views) > 3
    for view in door.views:
        shown = " ".join(" ".join(view).split())
        assert shown.startswith(TOP) and "word" in shown
    assert "word89" in " ".join(" ".join(view) for view in door.views)


def test_a_screen_that_shrinks_while_the_question_is_open_loses_no_word(typist: Make) -> None:
    door = typist((80, 24), ["\r"] * 40)
    door.top = TOP

    def shrink() -> None:
        if len(door.views) == 1:
            door.paper.screen.resize(lines=10, columns=30)

    door.on_view = shrink
    with pytest.raises(Left):
        door.key(Screen(tall, ("1",), ("back", "leave", "menu")))
    small = [" ".join(" ".join(view).split()) for view in door.views[2:]]
    assert all(TOP in view for view in small)
    seen = " ".join(small).split()
    assert {f"word{n}" for n in range(90)} <= set(seen)


@pytest.mark.parametrize("size", SIZES)
def test_a_reading_is_typed_below_the_top_line(size: tuple[int, int], typist: Make) -> None:
    door = typist(size, ["07", "\r"])
    door.top = TOP
    assert right_tag(door, "07")
    assert " ".join(" ".join(door.views[0]).split()).startswith(TOP)


@pytest.mark.parametrize(("typed", "right"), [("07", True), ("70", False), ("", False)])
def test_only_the_digits_of_the_tag_count(typed: str, right: bool, typist: Make) -> None:
    assert right_tag(typist((40, 15), [*typed, "\r"]), "07") is right


@pytest.mark.parametrize("width", [80, 40, 30, 24])
@pytest.mark.parametrize("plain", [True, False])
def test_a_reading_comes_to_three_lines_and_a_picture_that_fit(width: int, plain: bool) -> None:
    lines = [line for block in result_blocks(LOSS, width, plain=plain) for line in block.lines]
    assert all(sum(cells(text) for _, text in line) <= width for line in lines)
    text = " ".join(plain_text(lines).split())
    for said in LOSS.lines:
        assert said in text
    assert ("time [h]" in text) == (width >= 30), "a picture needs room"
    assert not plain or text.replace("\N{PLUS-MINUS SIGN}", "").isascii()


@pytest.mark.parametrize("size", SIZES)
def test_results_of_a_list_are_echoed_and_count_once_confirmed(
    size: tuple[int, int], typist: Make
) -> None:
    door = typist(size, ["1 b, 2 165", "\r", *["\r"] * 3, "1"])
    results = type_results(door, LISTED)
    assert [(r.prompt.id, r.value) for r in results] == [
        ("look", "yes"),
        ("gauge", {"g": "165 psi"}),
    ]
    seen = " ".join(" ".join(" ".join(view).split()) for view in door.views)
    assert "165 psi?" in seen and "Torn, curled or out?" in seen


def test_a_result_that_fits_no_line_is_said_and_asked_again(typist: Make) -> None:
    door = typist((80, 24), ["1 z", "\r", "1 a", "\r", "1"])
    (result,) = type_results(door, LISTED)
    assert result.value == "no"
    assert any("'z' is no result" in row for view in door.views for row in view)


def test_one_after_the_other_leaves_out_what_was_not_done(typist: Make) -> None:
    door = typist((80, 24), ["\r", "\r", "171", "\r", "1"])
    (result,) = type_results(door, LISTED)
    assert result.value == {"g": "171 psi"}


@pytest.mark.parametrize(("typed", "number"), [("", 12), ("9", 9)])
def test_the_number_of_a_list(typed: str, number: int, typist: Make) -> None:
    assert ask_number(typist((40, 15), [*typed, "\r"]), 12) == number


@pytest.mark.parametrize("typed", ["13", "0", "x"])
def test_a_list_that_was_never_made_is_refused(typed: str, typist: Make) -> None:
    with pytest.raises(InputError):
        ask_number(typist((40, 15), [*typed, "\r"]), 12)


def test_a_call_that_stands_above_is_not_said_again() -> None:
    talking = Conversation(shop_reasoner())
    events: list[Event] = [
        Opened(pack="rear_air_shock", knowledge=""),
        Complained(text="loses air overnight"),
        Answered(ask="said_air_loss", state="overnight"),
    ]
    prompt = talking.prompt(events)
    while prompt.judgement is None:
        events += talking.reply(events, prompt, prompt.answers[0].key)
        prompt = talking.prompt(events)
    once = Scene(answers=prompt.answers)
    whole, again = (
        plain_text(line for b in prompt_blocks(prompt, scene, 80) for line in b.lines)
        for scene in (once, Scene(answers=prompt.answers, called=True, minutes=4.0))
    )
    assert "Plan: " in whole and "Plan: " not in again
    assert "About 4 min so far" in again and len(again) < len(whole) / 2


class Held:
    """A tag that was not read since another job."""

    job = "1125-07"

    def __init__(self) -> None:
        self.asked = 0

    def doubtful(self) -> bool:
        return True

    def read(self) -> None:
        self.asked += 1


class Gauge(Conversation):
    """Asks for one reading, whatever happens."""

    def prompt(self, events: Any, person: str = "", last_key: str = "") -> Prompt:
        return self.again(events, "bench_sag", person)


@pytest.mark.parametrize(("digits", "taken"), [("07", True), ("08", False)])
def test_no_reading_counts_for_another_shock(digits: str, taken: bool, typist: Make) -> None:
    talking = Gauge(shop_reasoner())
    begun: list[Event] = [
        Opened(pack="rear_air_shock", knowledge=""),
        Complained(text="sits low"),
        HandedOver(to="AB", at="bench"),
    ]
    tag = Held()
    door = typist((80, 24), ["1", "18", "\r", "55", "\r", digits, "\r", "q"])
    outcome = talk(
        talking, begun, lambda new: None, clock=lambda: "", person="AB",
        settings=Settings(), tag=tag, door=door,
    )  # fmt: skip
    assert tag.asked == int(taken)
    assert any(isinstance(event, Measured) for event in outcome.events) is taken
    said = " ".join(door.paper.scrolled.split())
    assert ("Stroke 55 mm" in said) is taken, "what the reading comes to stays above"
