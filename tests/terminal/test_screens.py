"""Every kind of screen at three sizes: nothing cut, cautions whole, nothing answered unread.

Reaches terminal.styles too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, get_args

import pytest

from diagnose.cells import cells, plain_text
from diagnose.conversation.prompts import COMMANDS, Prompt
from diagnose.reasoning.judgement import (
    AnswerLine,
    CauseLine,
    CautionLine,
    HeardLine,
    Judgement,
    NextStep,
    NotHeardLine,
    Range,
    ReadingLine,
    StageLine,
    Surprise,
)
from diagnose.reasoning.lines import Standing
from diagnose.terminal.door import Block, Left, Screen
from diagnose.terminal.parts import Suspect, key_lines
from diagnose.terminal.screens import (
    Scene,
    answered,
    heard_blocks,
    prompt_blocks,
    safety_blocks,
)

HEARD = [
    HeardLine(
        id=f"s{n}",
        state="x",
        probability=0.9,
        words="flat in the morning",
        start=0,
        end=19,
        denied=standing == "struck",
        text="loses air: Overnight",
        standing=standing,
    )
    for n, standing in enumerate(get_args(Standing))
]
#: size of the screen -> keys that turn more pages than any screen has
PAGES = {(80, 24): 5, (40, 15): 12, (30, 10): 36}
SIZES = list(PAGES)
WORDS = [("DANGER", "maim"), ("WARNING", "wound"), ("CAUTION", "bruise"), ("NOTICE", "dent")]
CAUTIONS = tuple(
    CautionLine(
        id=f"hazard_{word.lower()}",
        signal_word=word,
        text=f"Gas stands behind the {n}th plug whether the gauge shows it or not. It may {harm} "
        "whoever stands in its way, without a sound before. Eye protection; face and hands out of "
        "line with valve, plug and can; one turn at a time, and stop at the first hiss.",
    )
    for n, (word, harm) in enumerate(WORDS, 4)
)
ANSWERS = tuple(
    AnswerLine(key=str(n), state=f"s{n}", text=f"The {n}th answer, in words that need room enough")
    for n in range(1, 10)
)
SUSPECTS = (
    Suspect("a seal that lets air pass one way only", 0.62, 0.31),
    Suspect("the valve's core", 0.2, 0.2),
    Suspect("none of these", 0.01),
)


def stage(name: str) -> StageLine:
    return StageLine(
        id=name,
        name=f"the {name} work on the whole shock",
        cures=0.8,
        expected_cost=70.0,
        currency="EUR",
        minutes=45.0,
        parts=21.0,
        kit=["seal kit", "grease", "soft jaws"],
        reason="likeliest here: a seal that lets air pass one way only",
    )


JUDGEMENT = Judgement(
    knowledge="x",
    pack="p",
    at="bench",
    symptoms=[],
    no_fault=0.02,
    causes=[
        CauseLine(id=f"c{n}", name=f"the {n}th cause by name", probability=0.3 - 0.05 * n)
        for n in range(5)
    ],
    stage=stage("smaller"),
    also_stages=[stage("larger")],
    range=Range(lowest="no_service", highest="full_service", call_before=120.0, currency="EUR"),
    ride="ride_gently",
    floors=[],
    ride_reason="a weeping seal with a clean brake (looked at: all five)",
    cautions=list(CAUTIONS),
    next_step=NextStep(kind="done"),
    would_change=["length at rest: short -> do not open"],
    surprise=Surprise(value=1.2, suspects=["said_air_loss"]),
    sure_enough=True,
    warnings=["the gauge was read while the shock was hot"],
)

PROMPTS: dict[str, Prompt] = {
    "question": Prompt(
        "question",
        "q",
        "What is the full text of a question that is long?",
        answers=ANSWERS,
        commands=tuple(COMMANDS),
        first_words=CAUTIONS[:1],
        minutes=2.0,
    ),
    "guarded": Prompt(
        "question",
        "q",
        "Does it come out?",
        answers=ANSWERS[:3],
        cautions=CAUTIONS,
        steps=("Out of line.", "Read, do not pump."),
        commands=("back", "safety", "leave"),
    ),
    "caution": Prompt(
        "caution",
        "q",
        "Before: gauge as it stands",
        cautions=CAUTIONS,
        acknowledge=("air",),
        commands=("back", "skip", "safety", "leave"),
        answers=(AnswerLine(key="7", state="ok", text="Read and understood"),),
    ),
    "readings": Prompt(
        "readings",
        "q",
        "What does the gauge show?",
        cautions=CAUTIONS[:2],
        readings=(
            ReadingLine(name="g", text="gauge as found", unit="psi"),
            ReadingLine(
                name="u", text="the usual pressure of this rider", unit="psi", optional=True
            ),
        ),
        answers=ANSWERS[:2],
        commands=tuple(COMMANDS),
    ),
    "judgement": Prompt(
        "judgement",
        "decide",
        "Sure enough.",
        judgement=JUDGEMENT,
        answers=ANSWERS[:3],
        commands=("back", "why", "safety", "leave"),
    ),
}


def drawn(name: str) -> Callable[[int], list[Block]]:
    prompt = PROMPTS[name]
    scene = Scene(
        answers=prompt.answers,
        notes=(("error", "NOT SAVED: the disk is full."),),
        minutes=12.0,
        first_words=prompt.first_words,
    )
    return lambda width: prompt_blocks(prompt, scene, width, SUSPECTS)


SHOWN: dict[str, Callable[[int], list[Block]]] = {
    **{name: drawn(name) for name in PROMPTS},
    "safety": lambda width: safety_blocks([("This step", CAUTIONS[:2]), ("Job", CAUTIONS)], width),
    "heard": lambda width: heard_blocks(
        HEARD,
        [NotHeardLine(words="squidgy", start=30, end=37)],
        width,
        hint=True,
    ),
    "transcript": lambda width: answered("Where is something wrong?", "Nothing at all", width),
}


def test_what_counts_what_is_asked_and_what_was_not_understood_is_told_apart() -> None:
    text = "\n".join(plain_text(block.lines) for block in SHOWN["heard"](80))
    assert text.count("  loses air: Overnight ('flat in the morning')") == 2, "counts, answered"
    assert text.count("perhaps loses air: Overnight? ('flat in the morning')") == 1
    assert "not meant:" not in text, "what was struck out stands on the screen of corrections"
    assert 'not understood: "squidgy"' in text
    assert "w corrects" in text


@pytest.mark.parametrize("width", [80, 40, 30])
@pytest.mark.parametrize("name", SHOWN)
def test_no_line_is_wider_than_the_screen(name: str, width: int) -> None:
    for block in SHOWN[name](width):
        for line in block.lines:
            assert sum(cells(text) for _, text in line) <= width


@pytest.mark.parametrize("name", ["guarded", "caution", "judgement", "safety"])
@pytest.mark.parametrize("width", [80, 40, 30])
def test_cautions_are_whole_and_come_before_the_question(name: str, width: int) -> None:
    blocks = SHOWN[name](width)
    text = " ".join(" ".join(plain_text(b.lines) for b in blocks).split())
    for caution in CAUTIONS:
        assert f"{caution.signal_word}: {caution.text}" in text
        assert text.count(caution.text) == 1, "said twice, read never"
    if name in ("guarded", "caution"):
        assert text.index(CAUTIONS[-1].text) < text.index(PROMPTS[name].text)


def test_the_alert_sign_stands_only_where_people_can_be_hurt() -> None:
    text = plain_text(line for b in SHOWN["safety"](80) for line in b.lines)
    assert text.count("/!\\") == 3


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", SHOWN)
def test_every_line_reaches_the_screen(
    name: str, size: tuple[int, int], typist: Callable[..., Any]
) -> None:
    commands = ("back", "why", "safety", "leave", "menu")
    wanted = [plain_text([line]) for b in SHOWN[name](size[0]) for line in b.lines if line]
    wanted += [plain_text([line]) for line in key_lines(commands, size[0])]
    door = typist(size, ["\r"] * PAGES[size])
    with pytest.raises(Left):
        door.key(Screen(SHOWN[name], (), commands))
    seen = [row for view in door.views for row in view]
    for line in wanted:
        assert line.replace("\N{NO-BREAK SPACE}", " ").rstrip() in seen


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", PROMPTS)
def test_an_answer_waits_until_its_words_were_shown(
    name: str, size: tuple[int, int], typist: Callable[..., Any]
) -> None:
    answer = PROMPTS[name].answers[-1]
    door = typist(size, [x for _ in range(80) for x in (answer.key, "\r")])
    press = door.key(Screen(SHOWN[name], tuple(a.key for a in PROMPTS[name].answers)))
    assert press.name == answer.key
    seen = " ".join(" ".join(" ".join(view).split()) for view in door.views)
    assert answer.text.split()[-1] in seen
    if PROMPTS[name].cautions:
        last = PROMPTS[name].cautions[-1].text.split()[-1]
        assert last in seen


def test_the_plain_screen_draws_no_boxes() -> None:
    prompt = PROMPTS["judgement"]
    blocks = prompt_blocks(prompt, Scene(answers=prompt.answers, plain=True), 80, SUSPECTS)
    text = plain_text(line for b in blocks for line in b.lines)
    assert "+--" not in text and "###" not in text and "Ride verdict: RIDE GENTLY" in text


def test_what_changed_is_said_in_words_and_numbers() -> None:
    text = plain_text(line for b in SHOWN["guarded"](80) for line in b.lines)
    text = text.replace("\N{NO-BREAK SPACE}", " ")
    assert "(up from 31 %)" in text and "62 % likely" in text


def test_cautions_read_in_this_visit_stand_short_with_the_key_for_the_rest() -> None:
    again = tuple(c.model_copy(update={"again": True}) for c in CAUTIONS)
    prompt = replace(PROMPTS["guarded"], cautions=again)
    blocks = prompt_blocks(prompt, Scene(answers=prompt.answers), 80)
    text = " ".join(plain_text(line for b in blocks for line in b.lines).split())
    for caution in again:
        first = caution.text.partition(". ")[0] + "."
        assert f"{caution.signal_word}: {first}" in text
    assert "maim" not in text and "* shows the rest" in text


def test_the_safety_screen_shows_whole_what_stands_short() -> None:
    again = tuple(c.model_copy(update={"again": True}) for c in CAUTIONS)
    blocks = safety_blocks([("For this step", again)], 80)
    text = " ".join(plain_text(line for b in blocks for line in b.lines).split())
    assert all(caution.text in text for caution in again)
