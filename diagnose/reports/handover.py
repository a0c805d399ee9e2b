"""The card that goes back with the shock: as found, as left, and what is the rider's choice."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.job.data_sheet import asked, values_of
from diagnose.job.measuring import wanted_readings
from diagnose.job.state import JobState
from diagnose.job.written import FOUND, LEFT, at_both_times, recorded
from diagnose.knowledge.device import Device
from diagnose.knowledge.loader import Knowledge
from diagnose.reasoning.judgement import Judgement
from diagnose.reasoning.wording import RIDE_WORDS
from diagnose.reports.paper import (
    Document,
    Grid,
    Head,
    Items,
    Pairs,
    Para,
    Part,
    Warn,
    WriteIn,
)
from diagnose.reports.ticket import customer_cautions, told_and_seen

__all__ = ["handover", "handover_parts"]

#: how a job ended without our repair, in words for its owner
_ENDED = {
    "not_wanted": "The work was not wanted; it goes back as it came.",
    "not_collected": "It was not collected.",
    "replaced": "The part or the unit was replaced.",
    "referred": "It was referred to another shop.",
}


def handover(
    judgement: Judgement,
    job: JobState,
    knowledge: Knowledge,
    *,
    name: str = "",
    bill: str = "",
) -> Document:
    """The card; ``name`` is the job's, ``bill`` what it came to, in words."""
    title = f"Your shock is back, job {name}" if name else "Your shock is back"
    return Document(title, tuple(handover_parts(judgement, job, knowledge, bill)))


def handover_parts(
    judgement: Judgement, job: JobState, knowledge: Knowledge, bill: str = ""
) -> list[Part]:
    """What the card says, in order."""
    parts: list[Part] = [*_done(job, knowledge)]
    if bill:
        parts.append(Para(bill, strong=True))
    _, seen = told_and_seen(judgement, job, knowledge)
    # A frame would be read as the verdict of today.
    came = f"As it came in: {RIDE_WORDS[judgement.ride_shown].lower()}; {judgement.ride_reason}."
    parts += [Head("As found"), Para(came)]
    parts.append(Items(tuple(seen)) if seen else Para("Nothing was looked at."))
    parts += [Head("As found and as left"), *_both(job, knowledge.device)]
    after = _readings_after(job, knowledge)
    if after:
        parts += [Para("Read after the work began:"), Pairs(after)]
    rows = _written(job, knowledge)
    if rows:
        parts += [Para("Written down at the bench:"), Pairs(rows)]
    parts += [
        Head("Your choice"),
        Items(tuple(knowledge.device.papers.choice)),
        *_limits(job, knowledge.device),
    ]
    # What was put right and proved is no longer to be warned of.
    cured = job.closed is not None and job.closed.cured is True
    cautions = [] if cured else customer_cautions(judgement, job, knowledge)
    if cautions:
        parts += [Head("Before the first ride"), *map(Warn, cautions)]
    parts += [WriteIn("Handed over by, date"), WriteIn("Received by")]
    return parts


def _done(job: JobState, knowledge: Knowledge) -> Iterable[Part]:
    closed = job.closed
    yield Head("What was found")
    if closed is None:
        yield Para("This job is not closed yet.", strong=True)
        return
    names = [knowledge.causes[c].plain for c in closed.found if c in knowledge.causes]
    if closed.words:
        names.append(closed.words)
    if closed.ended:
        names.append(_ENDED[closed.ended])
    nothing = "Nobody looked." if closed.found else "Nothing was wrong with it."
    yield Items(tuple(names)) if names else Para(nothing)
    sheet = knowledge.sheets.get(closed.job or closed.stage)
    if sheet is not None:
        # Without a step ticked or a test passed, nobody has said that it was done.
        worked = closed.cured or any(name == sheet.id for name, _ in job.steps)
        yield Para(f"What {'was done' if worked else 'it called for'}: {sheet.name}. {sheet.plain}")
    yield Para(_tested(job, knowledge), strong=closed.cured is not True)


def _tested(job: JobState, knowledge: Knowledge) -> str:
    """What the complaint's own test said, as it was closed, else as it was written down."""
    assert job.closed is not None
    if job.closed.cured is not None:
        passed = "passed" if job.closed.cured else "did not pass"
        return f"The complaint's own test was repeated and {passed}."
    again = recorded(job, f"{knowledge.device.papers.own_test} as {LEFT}")
    if again:
        return f"The complaint's own test was repeated: {again}."
    return "The complaint's own test was not repeated."


def _readings_after(job: JobState, knowledge: Knowledge) -> tuple[tuple[str, str], ...]:
    """Readings that were taken after something was done to the shock."""
    rows = []
    for report in job.reports.values():
        card = knowledge.checks.get(report.ask)
        if report.epoch == 0 or card is None:
            continue
        names = {wanted.name: wanted.text for wanted in wanted_readings(card)}
        rows += [
            (f"{card.name}, {names.get(name, name.replace('_', ' '))}", text)
            for name, text in report.readings.items()
        ]
    return tuple(rows)


def _written(job: JobState, knowledge: Knowledge) -> tuple[tuple[str, str], ...]:
    """What was written down at the sheets' steps and stands nowhere else on the card."""
    both = {f"{thing} as {time}" for thing in knowledge.device.papers.both_times
            for time in (FOUND, LEFT)}  # fmt: skip
    rows: dict[str, str] = {}
    for values in job.recorded.values():
        rows.update({name: text for name, text in values.items() if name not in both})
    return tuple(rows.items())


def _both(job: JobState, device: Device) -> Iterable[Part]:
    rows = []
    for thing in device.papers.both_times:
        known = at_both_times(job, device, thing)
        rows.append((thing, *(known.get(time, "______") for time in (FOUND, LEFT))))
    yield Grid(("what", "as found", "as left"), tuple(rows))


def _limits(job: JobState, device: Device) -> Iterable[Part]:
    limit = device.papers.limit
    if limit is None:
        return
    most = asked(limit, values_of(job.shock, job.sheet_values), device.sheet)
    if most:
        yield Para(f"Never above {most}, the marked maximum.", strong=True)
    else:
        yield WriteIn("Never above the marked maximum of")
