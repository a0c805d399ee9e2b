"""One reading as it is typed: understood or refused by itself, before the next one is asked for."""

from __future__ import annotations

from diagnose.bench.given import measure
from diagnose.bench.typed import Measured, read, with_unit
from diagnose.conversation.awaiting import ELAPSED, WAIT
from diagnose.conversation.prompts import Prompt
from diagnose.conversation.writing import STEP, take_line
from diagnose.errors import InputError
from diagnose.job.measuring import wanted_readings
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check

__all__ = ["take"]


def take(knowledge: Knowledge, prompt: Prompt, name: str, text: str) -> tuple[str, str]:
    """A typed reading with its unit, and the question to put about it; none: it is believable.

    Parameters
    ----------
    prompt : that wants it. name : of one of its readings.

    Raises
    ------
    InputError : it cannot be understood, or cannot be; what and what next, in words for a person.
    """
    if prompt.id.startswith(STEP):
        return take_line(knowledge.device, name, text)
    line = next((line for line in prompt.readings if line.name == name), None)
    check = knowledge.checks.get(prompt.id.rpartition(":")[2])
    if line is None or check is None:
        raise InputError(f"'{name}' is not read here.", where=prompt.id)
    return with_unit(text, line.unit), _measured(check, name, text).question


def _measured(check: Check, name: str, text: str) -> Measured:
    if name == WAIT:
        return read(text, ELAPSED, unit="h")
    wanted = next(spec for spec in wanted_readings(check) if spec.name == name)
    return measure(wanted, text)
