"""Readings that lie hours apart: what is read first and what later, how long to wait, what is told.

Rules
-----
- The check's own card says which fault is to show by the second reading, its finding how fast that
  is; how long it takes is physics (`bench.waiting`). A person may wait longer or shorter.
- The time between is taken from the times of the two events and may be corrected. A clock that
  stands before the first reading tells nothing: then the time has to be typed.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from diagnose.bench import formulas
from diagnose.bench.typed import read
from diagnose.bench.waiting import HOURS_APART, hours_to_show
from diagnose.errors import InputError
from diagnose.job.events import Begun
from diagnose.job.measuring import spelled_out, wanted_readings
from diagnose.job.queue import clock_words, moment
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Check
from diagnose.reasoning.judgement import ReadingLine
from diagnose.reasoning.said_step import reading_line

__all__ = [
    "ELAPSED",
    "WAIT",
    "asleep_words",
    "between",
    "completed",
    "first_lines",
    "first_readings",
    "hours_words",
    "later_lines",
    "wait_of",
]

#: name of the reading that is no reading: how long the job is to sleep
WAIT = "wait"

ELAPSED = "elapsed time"


def wait_of(check: Check) -> float | None:
    """Hours between the two readings of a check; None where nobody leaves in between."""
    if check.reading is None or check.reading.shows is None:
        return None
    hours = hours_to_show(check.reading.rates[check.reading.shows].median)
    return hours if hours >= HOURS_APART else None


def first_lines(check: Check, hours: float) -> tuple[ReadingLine, ...]:
    """What is read now, and how long to wait."""
    lines = _lines(check, "first")
    wait = f"how long until it is read again ({hours_words(hours)} if left out)"
    return (*lines, ReadingLine(name=WAIT, text=wait, unit="h", optional=True))


def later_lines(check: Check, begun: Begun, now: str) -> tuple[ReadingLine, ...]:
    """What is read the second time; the time between is offered where the clock tells it."""
    asked = [r for r in _lines(check, "later") if _has_partner(r.name, begun)]
    hours = between(begun, now)
    for spec in wanted_readings(check):
        if spec.moment == "between":
            known = hours is not None
            hint = f"by the clock {hours_words(hours or 0.0)}, if left out" if known else _NO_CLOCK
            said = {"text": f"{spec.text} ({hint})", "optional": known}
            line = reading_line(spec).model_copy(update=said)
            asked.insert(1, line)
    return tuple(asked)


_NO_CLOCK = "the clock was set since and does not tell it"


def _has_partner(name: str, begun: Begun) -> bool:
    """The second of a pair is asked for only where the first was noted; alone it is an error."""
    if not name.startswith("altitude"):
        return True
    return name.replace("after", "before") in begun.readings


def _lines(check: Check, part: str) -> list[ReadingLine]:
    return [reading_line(r) for r in wanted_readings(check) if r.moment == part]


def first_readings(
    check: Check, value: Mapping[str, object], hours: float, time: str, person: str
) -> Begun:
    """The event of the first readings.

    Raises
    ------
    InputError : a reading that is missing, not asked for, or not understood.
    """
    assert check.reading is not None
    texts = {str(name): str(text) for name, text in value.items()}
    if texts.get(WAIT, "").strip():
        hours = read(texts[WAIT], ELAPSED, unit="h", where=WAIT).value / 3600.0
    texts.pop(WAIT, None)
    if not 0.0 < hours <= 24.0 * 60.0:
        raise InputError("nobody waits that long.", where=WAIT, next_step="Say 8 h, or 30 min.")
    _check_names(check, texts, "first")
    formulas.read_all(check.reading.quantity, texts)
    texts = spelled_out(check, texts)
    start = moment(time)
    due = ""
    if start is not None:
        due = (start + timedelta(hours=hours)).isoformat(timespec="minutes")
    return Begun(ask=check.id, readings=texts, due=due, time=time, person=person)


def completed(
    check: Check, begun: Begun, value: Mapping[str, object], time: str
) -> dict[str, object]:
    """All readings of a check once the second half was taken.

    Raises
    ------
    InputError : one is missing or not asked for; the clock does not tell the time between.
    """
    texts = {str(name): str(text) for name, text in value.items() if str(text).strip()}
    apart = [spec.name for spec in wanted_readings(check) if spec.moment == "between"]
    _check_names(check, {n: t for n, t in texts.items() if n not in apart}, "later")
    for name in apart:
        if name in texts:
            continue
        hours = between(begun, time)
        if hours is None:
            raise InputError(
                "the clock stands before the first reading and tells no time between.",
                where=name,
                next_step="Type the time between the two readings, such as 8 h.",
            )
        texts[name] = hours_words(hours)
    return {**begun.readings, **spelled_out(check, texts)}


def _check_names(check: Check, texts: Mapping[str, str], part: str) -> None:
    specs = [spec for spec in wanted_readings(check) if spec.moment == part]
    names = [spec.name for spec in specs]
    for name in texts:
        if name not in names:
            raise InputError(
                f"'{name}' is not read now.", where=check.id, next_step=f"Now: {', '.join(names)}."
            )
    missing = [spec.name for spec in specs if not spec.optional and spec.name not in texts]
    if missing:
        raise InputError(
            f"{missing[0]} was not read.",
            where=check.id,
            next_step="Take the missing reading, or leave it for later.",
        )


def between(begun: Begun, now: str) -> float | None:
    """Hours from the first reading until now; None where the clock cannot be right."""
    first, second = moment(begun.time), moment(now)
    if first is None or second is None:
        return None
    hours = (second - first).total_seconds() / 3600.0
    return hours if hours * 3600.0 >= 1.0 else None


def hours_words(hours: float) -> str:
    """A span as it is typed.

    >>> hours_words(8.0), hours_words(0.4), hours_words(8.2), hours_words(0.005)
    ('8 h', '24 min', '8 h 12 min', '18 s')
    """
    if hours * 60.0 < 1.0:
        return f"{max(round(hours * 3600.0), 1)} s"
    whole, minutes = divmod(round(hours * 60.0), 60)
    parts = [f"{whole} h"] if whole else []
    return " ".join([*parts, *([f"{minutes} min"] if minutes else [])])


def asleep_words(knowledge: Knowledge, job: JobState) -> str:
    """What was read first and when the rest is due; empty where nothing is awaited."""
    begun = job.awaited
    if begun is None:
        return ""
    check = knowledge.checks.get(begun.ask)
    name = check.name if check else begun.ask.replace("_", " ")
    first = ", ".join(begun.readings.values())
    at = f" at {clock_words(begun.time, job.time)}" if begun.time else ""
    due = f" Reading again after {clock_words(begun.due, job.time)}." if begun.due else ""
    return f"{name.capitalize()}: {first}{at}.{due}"
