"""The ways to hold a training session: a person at a terminal, a group at one, another program.

Rules
-----
- What a door shows is the session's prompt; what it takes becomes a move, kept before the next one.
- JSON lines are the objects of the conversation: ``note``, ``caution``, ``question``,
  ``judgement``, ``error``, ``end``; the end carries the score.
- In a group everybody calls out a number: the choice with the most votes is made, and nothing is
  kept of anybody.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from dataclasses import asdict
from typing import IO, TYPE_CHECKING, Any

from diagnose.cli.json_lines import prompt_objects, read_reply
from diagnose.errors import DiagnoseError, InputError
from diagnose.terminal.door import Block, Door, Left, Screen
from diagnose.terminal.parts import caution_blocks, choice_blocks, note, text_block
from diagnose.terminal.screens import safety_blocks

if TYPE_CHECKING:
    from diagnose.session.prompts import Prompt
    from diagnose.training.exercise import Exercise, Move

__all__ = ["by_lines", "by_screen", "majority"]

Save = Callable[["Exercise"], None]

_HELP = "A number, then Enter. * all cautions, q save and leave."
_VOTES = "Everybody's numbers with spaces between them, then Enter: 3 1 3. * all cautions, q leave."


def majority(typed: str) -> tuple[str, str]:
    """The choice with the most votes, the first named of equals, and the count in words.

    >>> majority("3 1 3")
    ('3', '3 has 2 of 3 votes')
    """
    votes = Counter(typed.replace(",", " ").split())
    if not votes:
        return "", ""
    choice, count = votes.most_common(1)[0]
    return choice, f"{choice} has {count} of {votes.total()} votes"


def by_screen(exercise: Exercise, door: Door, save: Save, *, group: bool = False) -> bool:
    """Hold a session with a person, or a group; returns whether it came to its end."""
    door.say(note("quiet", exercise.coach.knowledge.pack.start_line))
    door.say(note("note", "Practice: nothing here is a real shock, and no gas is in it."))
    try:
        while exercise.phase != "done":
            prompt = exercise.prompt()
            door.say(_shown(prompt))
            move = _typed(exercise, door, group)
            if move is None:
                return False
            exercise.apply(move)
            save(exercise)
            if exercise.told:
                door.say(note("note", f"> {exercise.told}"))
    except Left:
        return False
    return True


def _shown(prompt: Prompt) -> Callable[[int], list[Block]]:
    def draw(width: int) -> list[Block]:
        return [
            Block(((),)),
            *caution_blocks([*prompt.first_words, *prompt.cautions], width),
            text_block("question", prompt.text, width),
            *choice_blocks(prompt.answers, width),
        ]

    return draw


def _typed(exercise: Exercise, door: Door, group: bool) -> Move | None:
    """The next move, or None to leave."""
    while True:
        typed = door.line(Screen(note("keys", _VOTES if group else _HELP))).strip()
        if typed == "q":
            return None
        if typed == "*":
            from diagnose.session.judgement import caution_lines

            cards = caution_lines(exercise.coach.knowledge.cautions.values())
            door.say(lambda width, cards=cards: safety_blocks([("Safety", cards)], width))  # type: ignore[misc]
            continue
        if group:
            typed, count = majority(typed)
            door.say(note("quiet", count))
        if not typed:
            continue
        try:
            return exercise.reply(typed)
        except DiagnoseError as error:
            door.say(note("error", str(error)))


def by_lines(exercise: Exercise, lines_in: IO[str], lines_out: IO[str], save: Save) -> bool:
    """Hold a session with another program; returns whether it came to its end."""
    said: set[str] = set()

    def write(data: dict[str, Any]) -> None:
        lines_out.write(json.dumps(data, ensure_ascii=False) + "\n")
        lines_out.flush()

    while exercise.phase != "done":
        if exercise.told:
            write({"kind": "note", "text": exercise.told, "reply": False})
        for data in prompt_objects(exercise.prompt(), said):
            write(data)
        move = _read(exercise, lines_in, write)
        if move is None:
            write({"kind": "end", "text": "saved", "reply": False})
            return False
        exercise.apply(move)
        save(exercise)
    for data in prompt_objects(exercise.prompt(), said):
        if data["kind"] == "end":
            result = exercise.result
            data |= {
                "score": result.score,
                "passed": result.passed,
                "truth": list(exercise.scenario.truth),
                "brier": round(result.call.brier, 4),
                "lapses": [asdict(lapse) for lapse in result.lapses],
                "steps": [
                    {"id": s.ident, "kind": s.kind, "regret": round(s.regret, 2)}
                    for s in result.steps
                ],
            }
        write(data)
    return True


def _read(
    exercise: Exercise, lines_in: IO[str], write: Callable[[dict[str, Any]], None]
) -> Move | None:
    while True:
        line = lines_in.readline()
        if not line:
            return None
        if not line.strip():
            continue
        try:
            form, value = read_reply(line)
            if form == "command" and value == "leave":
                return None
            if form == "command":
                raise InputError(
                    f"there is no command '{str(value)[:20]}' in training.",
                    next_step='Send {"answer": ...}, or {"command": "leave"}.',
                )
            return exercise.reply(value)
        except DiagnoseError as error:
            write(
                {
                    "kind": "error",
                    "what": error.what,
                    "where": error.where,
                    "next": error.next_step,
                    "reply": True,
                }
            )
