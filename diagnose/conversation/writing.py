"""What a step of a sheet asks to be written down: typed there, once, in its own lines.

Rules
-----
- It is asked when the step is done, and what is left out stays blank; nothing waits for it.
- A record called ``THING as found`` or ``THING as left`` is about what the papers say of both times
  (`Papers.both_times`): what a check read of it already is proposed, and it is not asked twice.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import BLANK, Prompt, keyed
from diagnose.errors import InputError
from diagnose.job.events import Event, Recorded
from diagnose.job.state import JobState
from diagnose.job.written import FOUND, at_both_times, recorded
from diagnose.reasoning.lines import ReadingLine

__all__ = ["WRITING", "take_words", "to_write", "written"]

#: what the ids of these prompts begin with
WRITING = "writing:"

#: longer than anything that is written on one line of a sheet
_LONGEST = 200


def to_write(desk: Desk, job: JobState) -> Prompt | None:
    """What the step that was done last asks to be written down; None: nothing, or it is."""
    if not job.steps or job.steps[-1] in job.recorded:
        return None
    name, number = job.steps[-1]
    sheet = desk.reasoner.knowledge.sheets.get(name)
    if sheet is None or number >= len(sheet.steps) or not sheet.steps[number].records:
        return None
    device = desk.reasoner.knowledge.device
    lines = []
    for record in sheet.steps[number].records:
        thing, _, time = record.rpartition(" as ")
        if time == FOUND and recorded(job, record):
            continue
        known = at_both_times(job, device, thing).get(time, "")
        lines.append(ReadingLine(name=record, text=record, unit="", optional=True, proposed=known))
    if not lines:
        return None
    return Prompt(
        "readings",
        f"{WRITING}{name}:{number}",
        f"{sheet.name}, step {number + 1}: to be written down.",
        answers=tuple(keyed([(BLANK, "Nothing is written down")])),
        readings=tuple(lines),
        why="It stands on the card that goes back with the shock, and in the job.",
        commands=("why", "safety", "leave"),
    )


def take_words(text: str) -> str:
    """One line of a sheet as it is kept.

    Raises
    ------
    InputError : too long for a line.
    """
    words = " ".join(text.split())
    if len(words) > _LONGEST:
        raise InputError(
            f"'{words[:20]}...' is too long for one line.",
            next_step=f"Up to {_LONGEST} signs; the rest is a note of the job.",
        )
    return words


def written(prompt: Prompt, value: Mapping[str, object], stamp: dict[str, Any]) -> list[Event]:
    """The event of what was written down; lines left out stay blank.

    Raises
    ------
    InputError : a line that this step does not have, or too long a one.
    """
    known = [line.name for line in prompt.readings]
    for name in value:
        if name not in known:
            raise InputError(
                f"'{str(name)[:40]}' is not written down here.",
                where=prompt.id,
                next_step=f"Here: {'; '.join(known)}.",
            )
    texts = {str(name): take_words(str(text)) for name, text in value.items()}
    _, sheet, number = prompt.id.split(":")
    kept = {name: text for name, text in texts.items() if text}
    return [Recorded(stage=sheet, number=int(number), values=kept, **stamp)]
