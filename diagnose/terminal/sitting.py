"""A sitting held by a person or a group at a terminal.

Rules
-----
- What a door shows is the session's prompt; what it takes becomes a move, kept before the next one.
- The keys are those of the whole program; + asks why in training's way, by a hint at a price.
- Cautions are turned by pages, as at the counter and the bench: nothing counts before it was shown.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

from diagnose.errors import DiagnoseError
from diagnose.pictures.cross_section_text import section_text
from diagnose.reasoning.judgement import AnswerLine
from diagnose.terminal.choosing import choose, read_on
from diagnose.terminal.door import Block, Door, Left, Screen
from diagnose.terminal.keys import MENU, read, yes_no
from diagnose.terminal.parts import caution_blocks, choice_blocks, note, text_block
from diagnose.terminal.screens import safety_blocks

if TYPE_CHECKING:
    from diagnose.conversation.prompts import Prompt
    from diagnose.knowledge.loader import Knowledge
    from diagnose.training.exercise import Exercise
    from diagnose.training.group import Group
    from diagnose.training.sitting import Sitting

__all__ = ["ask_screen", "ask_screen_line", "by_screen", "first_look", "welcome"]

Value = TypeVar("Value")
Save = Callable[["Sitting"], None]

_HELP = "A number, or words of what to do, then Enter. . back, + hint, * cautions, / menu, q leave."
_PLAIN = "A number, then Enter. . back, * cautions, / menu, q leave."
_COMMANDS = ("back", "why", "safety", "leave", MENU)
_MENU = {"known": "What is known so far", "safety": "All cautions", "leave": "Save and leave"}
_AIM = (
    "Practice: nothing here is a real shock. Find out what it needs with as little time and money "
    "as it takes, and make the call once more would not pay. Every choice is scored by what could "
    "be known when it was made."
)

_AGAIN = "Again at any time: diagnose knowledge draw"


def welcome(door: Door, knowledge: Knowledge) -> None:
    """What stands above every practice."""
    door.say(note("quiet", knowledge.pack.start_line))
    door.say(note("note", _AIM))


def first_look(door: Door, knowledge: Knowledge) -> None:
    """Before the first case of all: the device cut open, with the names that the cases use."""
    drawing = knowledge.drawing
    if drawing is None:
        return
    section = drawing.section(knowledge.device)

    def draw(width: int) -> list[Block]:
        lines = section_text(section, width)
        rows = [Block(((("", line),),)) for line in lines]
        return [*rows, text_block("quiet", _AGAIN, width)]

    read_on(door, draw)


def by_screen(sitting: Sitting, door: Door, save: Save, group: Group | None = None) -> bool:
    """Hold a sitting with a person, or a group; returns whether it came to its end."""
    from diagnose.training.showing import CALL

    begun = None
    try:
        while not sitting.done:
            if sitting.now is not begun:
                begun = sitting.now
                _bring_in(begun, door)
            if group is not None and group.over and begun.phase == "work":
                door.say(note("note", group.over_words))
                sitting.apply(sitting.reply(CALL))
                continue
            sitting.apply(
                sitting.reply(_caution(sitting, door))
                if begun.phase == "caution"
                else _typed(sitting, door, group)
            )
            save(sitting)
            if sitting.told:
                door.say(note("note", sitting.told))
    except Left:
        return False
    return True


def _bring_in(exercise: Exercise, door: Door) -> None:
    """The complaint, and in a session that goes on what was found out so far."""
    door.say(lambda width: [Block(((),))])
    for line in exercise.known():
        door.say(note("answer", line))


def _caution(sitting: Sitting, door: Door) -> str:
    prompt = sitting.prompt()
    keys = tuple(answer.key for answer in prompt.answers)
    press = door.key(Screen(_shown(prompt), keys, ("leave",)))
    if press.kind == "command":
        raise Left
    return press.name


def _typed(sitting: Sitting, door: Door, group: Group | None) -> Any:
    """The next move of what is typed."""
    from diagnose.training.calling import BACK
    from diagnose.training.showing import HINT

    prompt = sitting.prompt()
    texts = {answer.key: answer.text for answer in prompt.answers}

    def reply(typed: str) -> Any:
        press = read(typed, texts, _COMMANDS, letters=yes_no(texts))
        if press.kind == "command":
            return sitting.reply({"back": BACK, "why": HINT}.get(press.name, typed))
        word = press.name if press.kind == "answer" else typed
        return sitting.reply(group.choice(word, prompt) if group else word)

    if group is not None:
        door.say(note("quiet", group.time_words))
    own = _HELP if prompt.id.startswith("what_") else _PLAIN
    keys = group.help if group else own
    return ask_screen(prompt, door, reply, keys, _looks_up(sitting, door))


def _looks_up(sitting: Sitting, door: Door) -> Callable[[str], bool]:
    """What only shows something: true if it was that."""

    def look_up(typed: str) -> bool:
        press = read(typed, (), _COMMANDS)
        name = press.name if press.kind == "command" else ""
        if name == MENU:
            rows = [AnswerLine(key="", state=s, text=t) for s, t in _MENU.items()]
            name = choose(door, "What now?", rows)
            if not name:
                return True
        if name == "leave":
            raise Left
        if name == "safety":
            from diagnose.reasoning.judgement import caution_lines
            from diagnose.symptom_graph.cautions import every_caution

            cards = caution_lines(every_caution(sitting.coach.knowledge))
            door.say(lambda width: safety_blocks([("Safety", cards)], width))
        elif name == "known":
            for line in sitting.now.known():
                door.say(note("answer", line))
        else:
            return False
        return True

    return look_up


def ask_screen(
    prompt: Prompt,
    door: Door,
    read: Callable[[str], Value],
    keys: str = _PLAIN,
    looks_up: Callable[[str], bool] = lambda typed: False,
) -> Value:
    """Ask until what is typed can be read.

    Parameters
    ----------
    read : raises `DiagnoseError` for what it cannot. keys : line below the answers.

    Raises
    ------
    Left : with q, or at the end of the input.
    """
    fault = ""
    while True:
        typed = door.line(Screen(_shown(prompt, keys, fault))).strip()
        fault = ""
        if typed == "q":
            raise Left
        if not typed or looks_up(typed):
            continue
        try:
            return read(typed)
        except DiagnoseError as error:
            fault = str(error)


def ask_screen_line(
    door: Door, question: str, taken: str, read_line: Callable[[str], Value]
) -> Value:
    """Ask for a line of words until it can be read.

    Parameters
    ----------
    taken : what Enter alone takes; empty: nothing.

    Raises
    ------
    Left : with q, or at the end of the input.
    """
    fault = ""
    while True:

        def draw(width: int, fault: str = fault) -> list[Block]:
            return [
                Block(((),)),
                text_block("question", question, width),
                *([text_block("answer", f"Enter takes: {taken}", width)] if taken else []),
                text_block("keys", "Words, then Enter. q keep it and leave.", width),
                *([text_block("error", fault, width)] if fault else []),
            ]

        typed = door.line(Screen(draw)).strip()
        if typed == "q":
            raise Left
        try:
            return read_line(typed)
        except DiagnoseError as error:
            fault = str(error)


def _shown(prompt: Prompt, keys: str = "", fault: str = "") -> Callable[[int], list[Block]]:
    """A question. ``fault``: what was wrong with the last reply, next to where one types again."""
    # The complaint stands above for good, so that the question is short.
    text = "What first?" if prompt.id == "what_first" else prompt.text

    def draw(width: int) -> list[Block]:
        return [
            Block(((),)),
            *caution_blocks([*prompt.first_words, *prompt.cautions], width),
            text_block("question", text, width),
            *choice_blocks(prompt.answers, width),
            *([text_block("keys", keys, width)] if keys else []),
            *([text_block("error", fault, width)] if fault else []),
        ]

    return draw
