"""The customer's ticket: what was said, seen, planned, and what to leave alone; in words.

Rules
-----
- No percentage and no minute stands on it; the one number is the price not to pass without a call.
- The cautions are those that meet whoever rides, carries or posts the shock, and the first words.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.job.measuring import wanted_readings
from diagnose.job.queue import promised_day
from diagnose.job.state import JobState
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Caution
from diagnose.reasoning.judgement import Judgement, SymptomLine
from diagnose.reasoning.wording import chance_word
from diagnose.reports.paper import (
    NOTHING_LACKS,
    Cutaway,
    Document,
    Head,
    Items,
    Lacking,
    Pairs,
    Para,
    Part,
    Ride,
    Warn,
    WriteIn,
)
from diagnose.reports.pointing import suspected
from diagnose.reports.sending import sending_parts
from diagnose.symptom_graph.cautions import required_cautions, sort_cautions

__all__ = ["customer_cautions", "ticket", "ticket_parts", "told_and_seen"]

#: most causes named, and the chance below which a cause is not worth a customer's thought
_MOST, _LEAST = 4, 0.05
#: where the likeliest cause is below this, a list of causes alone would say too much
_STANDS_OUT = 0.15


def ticket(
    judgement: Judgement,
    job: JobState,
    knowledge: Knowledge,
    *,
    name: str = "",
    lacking: Lacking = NOTHING_LACKS,
) -> Document:
    """The ticket; ``name`` is the job's, ``lacking`` as in `ticket_parts`."""
    return Document(
        f"Your shock, job {name}" if name else "Your shock",
        tuple(ticket_parts(judgement, job, knowledge, lacking)),
        f"By what is known in {judgement.knowledge[:12]}. It advises; the maker's limits rule.",
    )


def ticket_parts(
    judgement: Judgement, job: JobState, knowledge: Knowledge, lacking: Lacking = NOTHING_LACKS
) -> list[Part]:
    """What the ticket says, in order; ``lacking``: sheet -> what the shop lacks for it."""
    told, seen = told_and_seen(judgement, job, knowledge)
    cautions = customer_cautions(judgement, job, knowledge)
    parts: list[Part] = [
        Ride(judgement.ride_shown, judgement.ride_reason),
        Head("What you told us"),
    ]
    if job.complaint:
        parts.append(Para(f"“{job.complaint}”"))
    parts.append(Items(tuple(told)) if told else Para("Nothing more yet."))
    parts.append(Head("What we looked at"))
    parts.append(Items(tuple(seen)) if seen else Para("Nothing yet; the bench looks first."))
    if not judgement.shut:
        # What it may be once the sign is cleared contradicts 'leave it alone' until then.
        parts += [Head("What it may be, most likely first"), Items(_causes(judgement), "numbered")]
        picture = suspected(judgement, knowledge, job)
        parts += [Cutaway(picture, "marked")] if picture else []
    parts += [Head("What we plan"), *_plan(judgement, job, knowledge, lacking)]
    if cautions:
        parts += [Head("Please do not"), *map(Warn, cautions)]
    parts += sending_parts(judgement, job, knowledge.device)
    left = _left(job)
    if left:
        parts += [Head("Left with us"), Pairs(left)]
    parts += [Head("Agreed"), WriteIn("Name and date"), WriteIn("We call you at")]
    return parts


def _left(job: JobState) -> tuple[tuple[str, str], ...]:
    """Tag, bike and things, as they were noted; the day that was promised."""
    rows, facts = [], job.facts.known()
    for field in ("tag", "bike", "accessories", "marks"):
        value = facts.get(field)
        if value:
            text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
            rows.append((field, text))
    day = promised_day(job)
    return (*rows, ("promised for", day)) if day else tuple(rows)


def told_and_seen(
    judgement: Judgement, job: JobState, knowledge: Knowledge
) -> tuple[list[str], list[str]]:
    """The customer's answers, and what hands and eyes of the shop found, in words."""
    told, seen = [], []
    passed: dict[bool, list[str]] = {True: [], False: []}
    for line in judgement.symptoms:
        if _passed_over(line, knowledge):
            passed[line.by == "customer"].append(_name(line, knowledge))
        elif line.by == "customer":
            told.append(_answer(line, knowledge))
        else:
            readings = _readings(line, job, knowledge)
            seen.append(_answer(line, knowledge) + (f" ({readings})" if readings else ""))
    # Of several things in one question nobody says no to each: what was not named was not named.
    told += [f"Not named when asked: {'; '.join(passed[True])}"] if passed[True] else []
    seen += [f"Not noticed: {'; '.join(passed[False])}"] if passed[False] else []
    return told, seen


def _readings(line: SymptomLine, job: JobState, knowledge: Knowledge) -> str:
    """Readings as typed, each with what it is where there are several."""
    report = job.reports.get((line.id, line.by))
    card = knowledge.checks.get(line.id)
    if report is None or not report.readings or card is None:
        return ""
    names = {wanted.name: wanted.text for wanted in wanted_readings(card)}
    if len(report.readings) == 1:
        return next(iter(report.readings.values()))
    return "; ".join(f"{names.get(name, name)}: {text}" for name, text in report.readings.items())


def _passed_over(line: SymptomLine, knowledge: Knowledge) -> bool:
    """The healthy answer of a row asked together with others, and in nobody's words."""
    card = knowledge.symptoms.get(line.id) or knowledge.checks.get(line.id)
    if card is None or line.words:
        return False
    asked = any(row.ask == line.id for frame in knowledge.frames.values() for row in frame.rows)
    return asked and line.state == knowledge.findings[card.observes].states[0]


def _name(line: SymptomLine, knowledge: Knowledge) -> str:
    card = knowledge.symptoms.get(line.id) or knowledge.checks.get(line.id)
    return card.name if card else line.id.replace("_", " ")


def _answer(line: SymptomLine, knowledge: Knowledge) -> str:
    return f"{_name(line, knowledge)}: {line.text}"


def _causes(judgement: Judgement) -> tuple[str, ...]:
    rows = [
        (c.probability, f"{c.plain or c.name} ({chance_word(c.probability)})")
        for c in judgement.causes
        if c.probability >= _LEAST
    ]
    if judgement.no_fault >= _LEAST:
        word = chance_word(judgement.no_fault)
        rows.append((judgement.no_fault, f"nothing is wrong with it ({word})"))
    rows.sort(key=lambda row: -row[0])
    if not rows or rows[0][0] < _STANDS_OUT:
        rows.insert(0, (1.0, "too early to say: nothing stands out yet"))
    return tuple(text for _, text in rows[:_MOST])


def _plan(
    judgement: Judgement, job: JobState, knowledge: Knowledge, lacking: Lacking
) -> Iterable[Part]:
    stages = [judgement.stage, *judgement.also_stages]
    if judgement.hold is not None:
        yield Para(judgement.hold.reason, strong=True)
        # What opens it once the sign is cleared contradicts 'leave it alone' until then.
        stages = [judgement.hold] if judgement.stage.holds else [judgement.stage, judgement.hold]
    yield Items(tuple(f"{s.name}: {knowledge.sheets[s.sheet].plain}" for s in stages))
    elsewhere = [s.name for s in stages if lacking.get(s.sheet)]
    if elsewhere:
        names = ", ".join(elsewhere)
        yield Para(f"Not done here: {names}. We refer you to a shop that does.", strong=True)
    span = judgement.range
    low, high = span.named
    if low != high and not judgement.shut:
        yield Para(f"The bench may find less or more: from {low} to {high}.")
    if judgement.shut:
        return  # nothing is opened, so there is nothing to agree a price for
    answer = job.approved
    if answer is not None and answer.declined:
        names = ", ".join(knowledge.sheets[s].name for s in answer.stages if s in knowledge.sheets)
        yield Para(f"You declined: {names or 'the work'}. {answer.told}".strip(), strong=True)
        return
    agreed = answer.up_to if answer is not None else None
    limit = span.call_before if agreed is None else agreed
    about = f"About {span.price:.0f} {span.currency}. " if span.price else ""
    said = f"At most {limit:.0f} {span.currency} without asking you; we call before that."
    yield Para(about + said, strong=True)


def customer_cautions(judgement: Judgement, job: JobState, knowledge: Knowledge) -> list[Caution]:
    """Safety messages for somebody without tools, gravest first."""
    said = [line.id for line in judgement.cautions if line.outside]
    if job.channel in ("phone", "mail", "shock_only"):
        device = knowledge.device
        handed = required_cautions(knowledge, device.posting, job.chambers(device))
        said += [card.id for card in handed]
    return sort_cautions(knowledge, [c for c in said if c in knowledge.cautions])
