"""The referral pack: what goes with a shock to whoever takes it on.

Rules
-----
- Findings with who found them, readings with their conditions, and the state of every chamber.
- What was not done and not looked at is said as plainly as what was: the next hand relies on it.
- Nothing that was not written down is filled in; a blank is a line to write on.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.bench.kinds import KINDS
from diagnose.job.state import JobState
from diagnose.knowledge.device import Device
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Caution
from diagnose.reasoning.judgement import Judgement
from diagnose.reasoning.wording import chance_word
from diagnose.reports.job_sheet import reading_parts
from diagnose.reports.paper import (
    Cutaway,
    Document,
    Grid,
    Head,
    Items,
    Pairs,
    Para,
    Part,
    Ride,
    StepPart,
    Warn,
    WriteIn,
)
from diagnose.reports.pointing import suspected
from diagnose.symptom_graph.cautions import cautions_of, hazards_now, sort_cautions

__all__ = ["referral", "referral_parts"]

_MOST, _LEAST = 5, 0.03


def referral(
    judgement: Judgement, job: JobState, knowledge: Knowledge, *, name: str = ""
) -> Document:
    """The pack; ``name`` is the job's."""
    title = f"Referral, job {name}" if name else "Referral"
    return Document(title, tuple(referral_parts(judgement, job, knowledge)))


def referral_parts(judgement: Judgement, job: JobState, knowledge: Knowledge) -> list[Part]:
    """What the pack says, in order."""
    to = job.referred.to if job.referred else ""
    parts: list[Part] = [Ride(judgement.ride_shown, judgement.ride_reason)]
    parts.append(Pairs((("to", to),)) if to else WriteIn("To"))
    parts += map(Warn, _cautions(judgement, job, knowledge))
    parts += [Head("State of each chamber"), *_chambers(job, knowledge.device)]
    picture = suspected(judgement, knowledge, job, whole=True)
    parts += [Cutaway(picture, "state")] if picture else []
    parts += [Head("Why it is referred"), *_why(judgement)]
    parts += [Head("Complaint")]
    parts.append(Para(f"“{job.complaint}”") if job.complaint else Para("None written down."))
    parts += [Head("Findings"), *_findings(judgement, knowledge)]
    parts += _readings(job, knowledge)
    parts += [Head("Done here"), *_done(job, knowledge)]
    parts += [Head("Not done, not looked at"), *_not_done(job, knowledge)]
    parts += [Head("Sizes"), *_sizes(job, knowledge.device)]
    parts += [WriteIn("Tag is on, place"), WriteIn("How it travels"), WriteIn("Initials, date")]
    return parts


def _cautions(judgement: Judgement, job: JobState, knowledge: Knowledge) -> list[Caution]:
    device = knowledge.device
    hazards = list(device.referral_hazards)
    if judgement.shut and device.referral_shut is not None:
        hazards[-1:] = [device.referral_shut]
    cards = cautions_of(knowledge, hazards_now(knowledge, hazards, job.chambers(device)))
    ids = [card.id for card in cards] + [line.id for line in judgement.cautions]
    return sort_cautions(knowledge, [c for c in dict.fromkeys(ids) if c in knowledge.cautions])


def _chambers(job: JobState, device: Device) -> Iterable[Part]:
    held = job.chambers(device)
    yield Grid(
        ("chamber", "state"),
        tuple(
            (chamber.name, chamber.full if held[chamber.id] else f"{chamber.empty} here")
            for chamber in device.chambers
        ),
    )
    if job.happened:
        done = ", ".join(word.replace("_", " ") for word in job.happened)
        yield Para(f"Done to it, in order: {done}.")
    else:
        yield Para("Nothing was let out, filled or opened here.")


def _why(judgement: Judgement) -> Iterable[Part]:
    line = judgement.hold or judgement.stage
    yield Para(f"{line.name}: {line.reason}")
    rows = [
        f"{cause.name} ({chance_word(cause.probability)})"
        for cause in judgement.causes[:_MOST]
        if cause.probability >= _LEAST
    ]
    if rows:
        yield Para("What it may be, by what is known here:")
        yield Items(tuple(rows), "numbered")


def _findings(judgement: Judgement, knowledge: Knowledge) -> Iterable[Part]:
    rows = []
    for line in judgement.symptoms:
        card = knowledge.symptoms.get(line.id) or knowledge.checks.get(line.id)
        name = card.name if card else line.id.replace("_", " ")
        rows.append((name, line.text, "in the rider's words" if line.words else line.by))
    yield Grid(("what", "found", "by"), tuple(rows)) if rows else Para("None.")


def _readings(job: JobState, knowledge: Knowledge) -> list[Part]:
    taken = [report for report in job.reports.values() if report.readings]
    parts: list[Part] = (
        [Head("Readings, with instrument, temperature and time as noted")] if taken else []
    )
    for report in taken:
        name, inner = reading_parts(report, job, knowledge)
        deeds = f"after {report.epoch} deeds on it" if report.epoch else "as it came in"
        parts.append(StepPart(f"{name} ({deeds})", inner))
    if job.awaited is not None:
        first = ", ".join(job.awaited.readings.values())
        name = job.awaited.ask.replace("_", " ")
        parts.append(Para(f"{name}: first reading {first}; the second was not taken.", True))
    return parts


def _done(job: JobState, knowledge: Knowledge) -> Iterable[Part]:
    done: dict[str, set[int]] = {}
    for sheet, number in job.steps:
        done.setdefault(sheet, set()).add(number)
    rows = [
        f"{knowledge.sheets[sheet].name}: {len(numbers)} of {len(knowledge.sheets[sheet].steps)} "
        "steps of its sheet"
        for sheet, numbers in done.items()
        if sheet in knowledge.sheets
    ]
    yield Items(tuple(rows)) if rows else Para("No sheet was begun; it was not opened here.")


def _not_done(job: JobState, knowledge: Knowledge) -> Iterable[Part]:
    made = [knowledge.checks[ask] for ask, _ in job.reports if ask in knowledge.checks]
    seen = {finding for check in made for finding in check.findings}
    places = [
        knowledge.checks[ident].name
        for ident in knowledge.pack.look
        if knowledge.checks[ident].observes not in seen
    ]
    left = [
        knowledge.checks[ask].name
        for ask in dict.fromkeys((*sorted(job.unsure), *job.skipped))
        if ask in knowledge.checks
    ]
    rows = [f"not looked at: {name}" for name in places] + [f"left open: {name}" for name in left]
    yield Items(tuple(rows)) if rows else Para("The five places were looked at.")
    if not job.steps and not job.happened:
        yield Para(knowledge.device.papers.untouched)


def _sizes(job: JobState, device: Device) -> Iterable[Part]:
    asked = {name: field for name, field in device.fields.items() if field.size}
    told = {name: job.shock.get(name) for name in asked}
    known = [
        (asked[name].size, f"{value:g} {KINDS[asked[name].kind].unit}")
        for name, value in told.items()
        if isinstance(value, (int, float))
    ]
    if known:
        yield Pairs(tuple(known))
    missing = [
        asked[name].size for name, value in told.items() if not isinstance(value, (int, float))
    ]
    yield from map(WriteIn, (*missing, "mounts"))
