"""A sitting held with another program.

Rules
-----
- The objects are those of the conversation: ``note``, ``caution``, ``question``, ``judgement``,
  ``error``; then a ``result`` for each scenario, with its truth and score, and ``end`` with the
  mean score, or with the word ``saved`` where the other side left.
- What it takes becomes a move, kept before the next one.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from typing import IO, TYPE_CHECKING, Any, TypeVar

from diagnose.errors import DiagnoseError, InputError
from diagnose.lines.conversation import prompt_objects, read_reply

if TYPE_CHECKING:
    from diagnose.conversation.prompts import Prompt
    from diagnose.training.exercise import Exercise
    from diagnose.training.sitting import Sitting

__all__ = ["Ended", "Lines", "by_lines"]

Value = TypeVar("Value")
Save = Callable[["Sitting"], None]


class Ended(Exception):
    """The other side leaves, or its lines run out."""


class Lines:
    """Objects out, objects in."""

    def __init__(self, lines_in: IO[str], lines_out: IO[str]) -> None:
        self._in = lines_in
        self._out = lines_out
        self._said: set[str] = set()

    def write(self, data: dict[str, Any]) -> None:
        """Send one object."""
        self._out.write(json.dumps(data, ensure_ascii=False) + "\n")
        self._out.flush()

    def ask(self, prompt: Prompt, read: Callable[[Any], Value]) -> Value:
        """Ask until the reply can be read.

        Raises
        ------
        Ended : by command, or at the end of the input.
        """
        for data in prompt_objects(prompt, self._said):
            self.write(data)
        while True:
            line = self._in.readline()
            if not line:
                raise Ended
            if not line.strip():
                continue
            try:
                form, value = read_reply(line)
                if form == "command" and value == "leave":
                    raise Ended
                if form == "command":
                    raise InputError(
                        f"there is no command '{str(value)[:20]}' in training.",
                        next_step='Send {"answer": ...}, or {"command": "leave"}.',
                    )
                return read(value)
            except DiagnoseError as error:
                fault = {"what": error.what, "where": error.where, "next": error.next_step}
                self.write({"kind": "error", **fault, "reply": True})

    def end(self, sitting: Sitting) -> None:
        """Send what a sitting came to."""
        for exercise in sitting.played:
            for data in prompt_objects(exercise.prompt(), self._said):
                if data["kind"] == "judgement":
                    self.write(data)
            self.write(_result(exercise))
        results = [exercise.result for exercise in sitting.played]
        self.write(
            {
                "kind": "end",
                "id": "debrief",
                "text": "The session is over.",
                "score": round(sum(r.score for r in results) / len(results), 1),
                "passed": all(r.passed for r in results),
                "reply": False,
            }
        )


def by_lines(sitting: Sitting, lines: Lines, save: Save) -> bool:
    """Hold a sitting with another program; returns whether it came to its end."""
    try:
        while not sitting.done:
            if sitting.told:
                lines.write({"kind": "note", "text": sitting.told, "reply": False})
            sitting.apply(lines.ask(sitting.prompt(), sitting.reply))
            save(sitting)
    except Ended:
        lines.write({"kind": "end", "text": "saved", "reply": False})
        return False
    lines.end(sitting)
    return True


def _result(exercise: Exercise) -> dict[str, Any]:
    result, causes = exercise.result, exercise.coach.knowledge.causes
    return {
        "kind": "result",
        "case": exercise.scenario.id,
        "score": result.score,
        "passed": result.passed,
        "truth": [
            {"id": ident, "name": causes[ident].name if ident in causes else "none of these"}
            for ident in exercise.scenario.truth
        ],
        "teaching": exercise.scenario.teaching,
        "brier": round(result.call.brier, 4),
        "lapses": [asdict(lapse) for lapse in result.lapses],
        "hints": len(result.hints),
        "steps": [
            {
                "id": step.ident,
                "name": step.name,
                "told": step.told,
                "kind": step.kind,
                "regret": round(step.regret, 2),
                "best": step.best,
            }
            for step in result.steps
        ],
        "reply": False,
    }
