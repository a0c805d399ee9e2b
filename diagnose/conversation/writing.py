"""What a step of a sheet asks to be written down: typed at the step, once, in its own lines.

Rules
-----
- What is left out stays blank; nothing waits for it.
- A record that is a number (`Papers.quantities`) is read like any reading: a bare number counts in
  the unit that stands beside it, and what cannot be is refused.
- A record called ``THING as found`` or ``THING as left`` is about what the papers say of both times
  (`Papers.both_times`): what a check read of it already is proposed, and what was written down as
  found at an earlier step is not asked again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.bench.kinds import KINDS
from diagnose.bench.typed import read, with_unit
from diagnose.bench.units import BARE
from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError
from diagnose.job.events import Event, Recorded
from diagnose.job.state import JobState
from diagnose.job.written import FOUND, at_both_times, recorded
from diagnose.knowledge.device import CAN_CLOSE, Device
from diagnose.knowledge.models import Sheet
from diagnose.reasoning.lines import ReadingLine

__all__ = ["STEP", "blanks", "take_line", "unit_of", "written"]

#: what the ids of the prompts of steps begin with
STEP = "step:"


#: longer than anything that is written on one line of a sheet
_LONGEST = 200


def blanks(desk: Desk, job: JobState, sheet: Sheet, number: int) -> tuple[ReadingLine, ...]:
    """The lines of a step that are not written yet, with what is known of each."""
    device = desk.reasoner.knowledge.device
    if CAN_CLOSE in sheet.steps[number].marks:
        return ()  # the key that ticks it is the answer
    here = job.recorded.get((sheet.id, number), {})
    lines = []
    for record in sheet.steps[number].records:
        thing, _, time = record.rpartition(" as ")
        if record in here or (time == FOUND and recorded(job, record)):
            continue
        known = at_both_times(job, device, thing).get(time, "")
        lines.append(
            ReadingLine(
                name=record,
                text=record,
                unit=unit_of(device, record),
                optional=True,
                # 'Told as usual' is no number that somebody read.
                proposed=known if _reads(device, record, known) else "",
            )
        )
    return tuple(lines)


def unit_of(device: Device, record: str) -> str:
    """The unit in which a bare number of a record counts; empty: words, or a plain number."""
    quantity = device.papers.quantities.get(record)
    unit = quantity.unit or KINDS[quantity.kind].unit if quantity else ""
    return "" if unit in BARE else unit


def _reads(device: Device, record: str, text: str) -> bool:
    try:
        take_line(device, record, text)
    except InputError:
        return False
    return True


def take_line(device: Device, record: str, text: str) -> tuple[str, str]:
    """One line of a sheet as it is kept, and the question to put about it; none: it is believable.

    Raises
    ------
    InputError : too long for a line; of a number what cannot be understood, or cannot be.
    """
    quantity, words = device.papers.quantities.get(record), _words(text)
    if quantity is None or not words:
        return words, ""
    unit = unit_of(device, record)
    return with_unit(words, unit), read(words, quantity.kind, unit=unit, where=record).question


def _words(text: str) -> str:
    words = " ".join(text.split())
    if len(words) > _LONGEST:
        raise InputError(
            f"'{words[:20]}...' is too long for one line.",
            next_step=f"Up to {_LONGEST} signs; the rest is a note of the job.",
        )
    return words


def written(
    device: Device,
    job: JobState,
    prompt: Prompt,
    value: Mapping[str, object],
    stamp: dict[str, Any],
) -> list[Event]:
    """The event of what was written down at a step; lines left out stay blank.

    Raises
    ------
    InputError : a line that this step does not have, one that cannot be, or nothing at all.
    """
    known = [line.name for line in prompt.readings]
    for name in value:
        if name not in known:
            raise InputError(
                f"'{str(name)[:40]}' is not written down here.",
                where=prompt.id,
                next_step=f"Here: {'; '.join(known) or 'nothing'}.",
            )
    texts = {str(name): take_line(device, str(name), str(text))[0] for name, text in value.items()}
    kept = {name: text for name, text in texts.items() if text}
    if not kept:
        raise InputError("nothing was written.", where=prompt.id, next_step="Tick the step.")
    _, sheet, number = prompt.id.split(":")
    before = job.recorded.get((sheet, int(number)), {})
    return [Recorded(stage=sheet, number=int(number), values={**before, **kept}, **stamp)]
