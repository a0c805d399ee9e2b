"""The mechanic's job sheet: numbers, readings with their pictures, kit to tick, steps to work by.

Rules
-----
- Each caution stands before the step it guards, whole the first time on the page and later with
  its first sentence; what guards no step stands at the top.
- Torque, oil, charge and depth come from the shop's sheet for this very shock, or are a blank.
- A step that is done is ticked, so that a sheet printed half way through tells the truth.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagnose.conversation.awaiting import asleep_words
from diagnose.errors import InputError
from diagnose.job.agreement import agreed_words
from diagnose.job.data_sheet import asked, asked_words, values_in, values_of
from diagnose.job.measuring import measured_result
from diagnose.job.state import JobState, Report
from diagnose.knowledge.device import Device
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Sheet, Step
from diagnose.reasoning.contradiction import doubt_of
from diagnose.reasoning.judgement import Judgement, StageLine
from diagnose.reports.paper import (
    NOTHING_LACKS,
    Cutaway,
    Document,
    Grid,
    Head,
    Items,
    Lacking,
    Pairs,
    Para,
    Part,
    Picture,
    Ride,
    StepPart,
    Warn,
    WriteIn,
    warnings,
)
from diagnose.reports.pointing import suspected, where
from diagnose.symptom_graph.cautions import required_cautions, sort_cautions
from diagnose.symptom_graph.routes import sheet_cautions
from diagnose.symptom_graph.variants import said_of

__all__ = [
    "job_sheet",
    "job_sheet_parts",
    "reading_parts",
]

#: causes below this chance are not listed [0..1]
_LEAST = 0.01
_MOST = 8

#: facts that have a place of their own, or are not for paper
_ELSEWHERE = ("sheet", "sheet_values", "as_left", "parts_cost")


def job_sheet(
    judgement: Judgement,
    job: JobState,
    knowledge: Knowledge,
    *,
    name: str = "",
    lacking: Lacking = NOTHING_LACKS,
) -> Document:
    """The sheet; ``name`` is the job's, ``lacking`` as in `job_sheet_parts`."""
    return Document(
        f"Job sheet {name}".strip(),
        tuple(job_sheet_parts(judgement, job, knowledge, lacking)),
        f"{judgement.pack.replace('_', ' ')}, knowledge {judgement.knowledge}",
    )


def job_sheet_parts(
    judgement: Judgement, job: JobState, knowledge: Knowledge, lacking: Lacking = NOTHING_LACKS
) -> list[Part]:
    """What the sheet says, in order.

    Parameters
    ----------
    lacking : sheet -> what the shop lacks for it. Such a one is not worked by here: the sheet
    that refers it out stands in its place.
    """
    refer = knowledge.device.stages.refer
    stages = [judgement.stage, *judgement.also_stages]
    if judgement.hold is not None:
        # The plan once cleared is another sheet's, printed when it is cleared.
        stages = [judgement.hold]
    worked = [s for s in stages if not s.within]
    own = [s.sheet for s in worked if not lacking.get(s.sheet)]
    if len(own) < len(worked) and not judgement.shut:
        own.append(refer)
    sheets = [knowledge.sheets[ident] for ident in dict.fromkeys(own or [refer])]
    said: set[str] = set()
    picture = suspected(judgement, knowledge, job, whole=True)
    return [
        *_state(judgement, job, knowledge.device),
        Ride(judgement.ride_shown, judgement.ride_reason),
        *_loose_cautions(judgement, knowledge, sheets),
        *_shock(job, knowledge.device),
        Head("What is known"),
        Para(f"“{job.complaint}”") if job.complaint else Para("No words of the customer."),
        Grid(("what", "result", "by", "how sure"), tuple(_known(judgement, knowledge))),
        *_readings(job, knowledge),
        *_causes(judgement, knowledge),
        Head("Plan"),
        *(part for stage in stages for part in _stage(stage, lacking.get(stage.sheet, ()))),
        *_money(judgement, job, knowledge),
        *_kit(stages, job),
        *((Cutaway(picture),) if picture else ()),
        *(part for sheet in sheets for part in _sheet(sheet, job, knowledge, said)),
        Head("Closing"),
        *_closing(job, knowledge, judgement.range.currency),
    ]


def _closing(job: JobState, knowledge: Knowledge, currency: str) -> Iterable[Part]:
    """What was said at the end, and blanks for the rest."""
    closed, cost = job.closed, job.facts.parts_cost
    names = (
        [knowledge.causes[c].name for c in closed.found if c in knowledge.causes] if closed else []
    )
    minutes = closed.minutes if closed else None
    tested = {True: "passed", False: "did not pass", None: ""}[closed.cured if closed else None]
    rows = {
        "What was really found": "; ".join([*names, *([closed.words] if closed else [])]).strip(
            "; "
        ),
        "Parts used": "" if cost is None else f"{cost:.0f} {currency}",
        "Minutes": "" if minutes is None else f"{minutes:.0f}",
        "The complaint's own test, before and after": tested,
        "Initials and date": f"{closed.person} {closed.time[:10]}".strip() if closed else "",
    }
    for label, text in rows.items():
        yield Pairs(((label, text),)) if text else WriteIn(label)


def _state(judgement: Judgement, job: JobState, device: Device) -> Iterable[Part]:
    held = job.chambers(device)
    chambers = [(c.name, c.full if held[c.id] else c.empty) for c in device.chambers]
    yield Pairs((("place", judgement.at), ("person", job.person or "not named"), *chambers))


def _loose_cautions(
    judgement: Judgement, knowledge: Knowledge, sheets: Iterable[Sheet]
) -> Iterable[Part]:
    """Cautions of the judgement that no step of the sheets repeats."""
    acts = [act for sheet in sheets for step in sheet.steps for act in (*step.does, *step.marks)]
    at_steps = {card.id for act in acts for card in required_cautions(knowledge, [act], {})}
    rest = [line.id for line in judgement.cautions if line.id not in at_steps]
    yield from map(Warn, sort_cautions(knowledge, rest))
    yield Para(knowledge.pack.start_line)


def _shock(job: JobState, device: Device) -> Iterable[Part]:
    rows = [
        (device.words_of(name), _said(value, device.unit_of(name)))
        for name, value in (*job.shock.items(), *job.facts.known().items())
        if name not in _ELSEWHERE
    ]
    yield Head("The shock")
    yield Pairs(tuple(rows)) if rows else Para("Nothing is written down of it yet.")
    known = values_of(job.shock, job.sheet_values)
    if job.facts.sheet:
        yield Para(f"The shop's data sheet: {job.facts.sheet}.")
    else:
        yield Para("No data sheet of the shop is put to this job.", strong=True)
    missing = [
        text
        for field, text in values_in(device.sheet).items()
        if field not in known and field not in device.sheet.flags and field != "notes"
    ]
    if missing:
        yield Para(f"Not on the sheet: {', '.join(missing)}.")


def _said(value: object, unit: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(map(str, value))
    if isinstance(value, float):
        return f"{value:.4g} {unit}".rstrip()
    return f"{value} {unit}".rstrip()


def _known(judgement: Judgement, knowledge: Knowledge) -> Iterable[tuple[str, ...]]:
    for line in judgement.symptoms:
        card = knowledge.symptoms.get(line.id) or knowledge.checks.get(line.id)
        words = f" (“{line.words}”)" if line.words else ""
        look = knowledge.checks.get(line.outdone_by)
        outdone = f"; outdone by: {look.name}" if look else ""
        name = card.name if card else line.id
        yield name, line.text + words + outdone, line.by, f"{line.how_sure:.0%}"


def _readings(job: JobState, knowledge: Knowledge) -> Iterable[Part]:
    taken = [report for report in job.reports.values() if report.readings]
    if taken:
        yield Head("Readings")
    for report in taken:
        yield StepPart(*reading_parts(report, job, knowledge))
    if job.awaited is not None:
        yield Para(asleep_words(knowledge, job), strong=True)


def reading_parts(
    report: Report, job: JobState, knowledge: Knowledge
) -> tuple[str, tuple[Part, ...]]:
    """Name of a check and its readings as typed, computed, and drawn where a picture helps."""
    check = knowledge.checks.get(report.ask)
    typed = Pairs(tuple((n.replace("_", " "), t) for n, t in report.readings.items()))
    if check is None or check.reading is None:
        return report.ask.replace("_", " "), (typed,)
    try:
        result, questions = measured_result(check, report.readings, job)
    except InputError as error:
        return check.name, (typed, Para(str(error), strong=True))
    value = f"{result.value:.3g} ± {result.uncertainty:.2g} {result.unit}"
    parts: list[Part] = [typed, Pairs((("comes to", value),)), Items(tuple(result.lines))]
    parts += [Para(text) for text in (*result.notes, *result.assumptions, *questions)]
    if result.picture is not None:
        parts.append(Picture(result.picture))
    return check.name, tuple(parts)


def _causes(judgement: Judgement, knowledge: Knowledge) -> Iterable[Part]:
    rows = [
        (cause.name, f"{cause.probability:.1%}")
        for cause in judgement.causes[:_MOST]
        if cause.probability >= _LEAST
    ]
    yield Head("What it may be")
    yield Pairs((*rows, ("nothing wrong at all", f"{judgement.no_fault:.1%}")))
    doubt = doubt_of(knowledge, judgement.surprise.suspects, judgement.at).words
    if doubt:
        yield Para(doubt, strong=True)
    if judgement.would_change:
        yield Para("What would change the plan:")
        yield Items(tuple(judgement.would_change))
    # What was taken for granted in a reading stands with the reading.
    yield from (
        Para(text) for text in judgement.warnings if text.partition(":")[0] not in knowledge.checks
    )


def _stage(stage: StageLine, lacks: Sequence[str]) -> Iterable[Part]:
    yield Para(stage.name, strong=True)
    yield Para(f"{stage.reason[:1].upper()}{stage.reason[1:]}")
    if stage.inside:
        yield Para("Once open, if the call is right; something else: stop and call.")
        yield Items(tuple(stage.inside))
    if lacks:
        what = ", ".join(lacks).replace("_", " ")
        yield Para(f"Not in this shop ({what}): it is not opened here, it is referred out.", True)
    if stage.within:
        return
    rows = [
        ("minutes", f"{stage.minutes:.0f}"),
        ("parts", f"{stage.parts:.0f} {stage.currency}"),
    ]
    if stage.cures:
        rows.append(("chance that the plan cures it", f"{stage.cures:.0%}"))
    yield Pairs(tuple(rows))


def _money(judgement: Judgement, job: JobState, knowledge: Knowledge) -> Iterable[Part]:
    span = judgement.range
    if not judgement.shut:  # nothing is opened under a sign, so there is no price to name
        yield Para(f"Price: {span.told}.", strong=True)
    words = agreed_words(knowledge, job, span.currency)
    yield Para(words or "The customer's agreement is not recorded.")
    told = [answer.told for answer in job.answers if answer.declined and answer.told]
    if told:
        yield Para(f"Told with the refusal: {told[-1]}")


def _kit(stages: Iterable[StageLine], job: JobState) -> Iterable[Part]:
    kit = dict.fromkeys(item for stage in stages for item in stage.kit)
    if kit:
        yield Head("Kit")
        yield Items(tuple(_where(item, job) for item in kit), "ticks")


def _where(item: str, job: JobState) -> str:
    """A line of the kit, with what was noted of it."""
    line = job.kit.get(item)
    if line is None or line.state == "unknown":
        return item
    until = f" until {line.day}" if line.day else ""
    return f"{item} ({'here' if line.state == 'have' else f'on order{until}'})"


def _sheet(sheet: Sheet, job: JobState, knowledge: Knowledge, said: set[str]) -> Iterable[Part]:
    done = {number for name, number in job.steps if name == sheet.id}
    yield Head(f"Sheet: {sheet.name}")
    for number, cautions in sheet_cautions(knowledge, sheet, job.shock):
        step, mark = sheet.steps[number], "done" if number in done else "to do"
        title = f"Step {number + 1} of {len(sheet.steps)} ({mark})"
        written = job.recorded.get((sheet.id, number), {})
        body = _step(step, job, knowledge, written)
        yield StepPart(title, (*warnings(cautions, said), *body))
    if sheet.proof:
        yield Para("Proof")
        yield Items(tuple(sheet.proof), "ticks")


def _step(
    step: Step, job: JobState, knowledge: Knowledge, written: Mapping[str, str]
) -> Iterable[Part]:
    yield Items((said_of(knowledge.device, step, job.shock),), "ticks")
    if place := where(knowledge, step.points_to):
        yield Para(f"Where: {place}.")
    for ask in step.asks_sheet:
        known, sheet = values_of(job.shock, job.sheet_values), knowledge.device.sheet
        words, value = asked_words(ask, sheet), asked(ask, known, sheet)
        if value:
            yield Pairs(((f"{words}, from the sheet", value),))
        else:
            yield WriteIn(f"{words}, from this shock's own sheet")
    kept = tuple((record, written[record]) for record in step.records if record in written)
    if kept:
        yield Pairs(kept)
    yield from (WriteIn(record) for record in step.records if record not in written)
