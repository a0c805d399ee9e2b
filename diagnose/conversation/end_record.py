"""The record of a job's end: what was found and done, whether it is cured, and what it came to.

Rules
-----
- `close` writes it, whether its values were asked for or came with a command.
- A test that does not pass closes nothing: what was found is kept, and the job is open again.
- A bill above what was agreed is not written before the customer was called.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.belief.compiled import UNLISTED
from diagnose.errors import InputError, RefusedError
from diagnose.job.ending import Ending
from diagnose.job.events import Approved, Closed, ClosingBegun, Event, Filed, Judged, Withdrawn
from diagnose.job.facts import Facts
from diagnose.job.state import JobState, fold
from diagnose.job.written import LEFT, at_both_times
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Sheet
from diagnose.nearest import nearest
from diagnose.reasoning.judgement import Judgement, judge
from diagnose.reasoning.pricing import bill_of
from diagnose.reasoning.reasoner import Reasoner
from diagnose.symptom_graph.variants import steps_of

__all__ = ["COMPLAINT_TEST", "NOT_LOOKED", "close", "number", "open_steps", "open_words"]

#: what was found, where nobody looked
NOT_LOOKED = "not_looked"

#: the test of what the customer complained of
COMPLAINT_TEST = "complaint"

#: endings after which nothing was done to it
_UNTOUCHED = ("not_wanted", "not_collected")

#: signs of a step that are shown where only it is meant
_SHORT = 60

#: more than any job takes [minutes, currency]
_TOO_MUCH = 100_000


def number(word: str, where: str) -> float:
    """A typed number of minutes or money.

    Raises
    ------
    InputError : it is none, or not believable.
    """
    try:
        value = float(word.replace(",", "."))
    except ValueError:
        raise InputError(
            f"'{word[:20]}' is no number.", where=where, next_step="Digits alone, such as 40."
        ) from None
    if not 0 <= value < _TOO_MUCH:
        raise InputError(f"{word[:20]} is not believable.", where=where, next_step="Type it again.")
    return value


def close(
    reasoner: Reasoner, events: Sequence[Event], ending: Ending, stamp: Mapping[str, Any]
) -> list[Event]:
    """The record of an end: the last call, what was used, the closing; open again if the repeated
    test did not pass.

    Raises
    ------
    InputError : what cannot be true together, or is not known. RefusedError : closed already, or
    steps of its sheet are open.
    """
    job = fold(events)
    if job.closed is not None:
        raise RefusedError("the job is closed already.", next_step="A comeback is a new job.")
    judgement = judge(reasoner, reasoner.view(job))
    _through(reasoner.knowledge, job, ending)
    closed = _closed(reasoner.knowledge, judgement, ending, stamp)
    new = _agreed(reasoner, job, closed, ending, stamp)
    shown = judgement.kept()
    if job.last_judged != shown:
        new.append(Judged(judgement=shown, **stamp))
    failed = closed.cured is False
    facts = Facts(
        parts_cost=ending.parts,
        as_left=_left(reasoner.knowledge, job, ending) or None,
        not_cured=(job.facts.not_cured or 0) + 1 if failed else None,
    )
    if facts.known():
        new.append(Filed(facts=facts, **stamp))
    new.append(closed)
    if failed:
        begun = [n for n, event in enumerate(events) if isinstance(event, ClosingBegun)]
        gone = [*(begun[-1:] if job.choices.ending is not None else []), job.count + len(new) - 1]
        new += [Withdrawn(number=number, **stamp) for number in gone]
    return new


def _left(knowledge: Knowledge, job: JobState, ending: Ending) -> dict[str, str]:
    """How it was given back: as it was written at the sheet, or said at the end."""
    if ending.ended:
        return {}
    names = knowledge.pack.as_left
    known = {name: at_both_times(job, knowledge.device, name).get(LEFT, "") for name in names}
    return {name: text for name, text in {**known, **(ending.left or {})}.items() if text}


def open_steps(knowledge: Knowledge, job: JobState) -> tuple[Sheet, list[int]] | None:
    """The sheet that was begun last, with its steps that are not ticked; None: none are left."""
    name = job.steps[-1][0] if job.steps else ""
    sheet = knowledge.sheets.get(name)
    if sheet is None:
        return None
    done = {number for begun, number in job.steps if begun == name}
    left = [number for number in steps_of(sheet, job.shock) if number not in done]
    return (sheet, left) if left else None


def open_words(open_: tuple[Sheet, list[int]]) -> str:
    """Which steps are not ticked, in words."""
    sheet, left = open_
    first = sheet.steps[left[0]].do
    short = first if len(first) <= _SHORT else f"{first[:_SHORT].rsplit(' ', 1)[0]} ..."
    many = "1 step is" if len(left) == 1 else f"{len(left)} steps are"
    return f"{sheet.name}: {many} not ticked, from step {left[0] + 1} on: '{short}'."


def _through(knowledge: Knowledge, job: JobState, ending: Ending) -> None:
    """Refuse to close as done over steps of which nobody said whether they were done.

    Raises
    ------
    RefusedError : names them.
    """
    open_ = open_steps(knowledge, job)
    said = ending.ended or ending.unticked or ending.passed is False
    if open_ is not None and not said:
        raise RefusedError(
            open_words(open_),
            where="sheet",
            next_step="Go on at the bench, or say --unticked done, or --unticked left.",
        )


def _agreed(
    reasoner: Reasoner, job: JobState, closed: Closed, ending: Ending, stamp: Mapping[str, Any]
) -> list[Event]:
    """The customer's word on a bill above the limit.

    Raises
    ------
    RefusedError : it was not asked for.
    """
    if closed.ended or ending.minutes is None or ending.parts is None:
        return []
    sheet = closed.job or closed.stage
    bill = bill_of(reasoner, job, sheet, ending.minutes, ending.parts)
    if not bill.over:
        return []
    if not ending.called:
        follow = f"Call, then record the answer: diagnose jobs approve JOB --up-to {bill.price:.0f}"
        raise RefusedError(f"{bill.words} That is more than was agreed.", next_step=follow)
    up_to = float(math.ceil(bill.price))
    return [Approved(stages=[sheet], up_to=up_to, told=bill.words, **stamp)]


def _closed(
    knowledge: Knowledge, judgement: Judgement, ending: Ending, stamp: Mapping[str, Any]
) -> Closed:
    found = [NOT_LOOKED] if ending.found is None else ending.found
    if UNLISTED in found and not ending.words:
        raise InputError("none of these needs words.", where="words")
    if ending.ended and ending.passed is False:
        raise InputError(
            "what did not pass its test is open again, not closed.",
            where="test",
            next_step="Leave the test out, or how it ended.",
        )
    outcomes = knowledge.device.stages
    usual = outcomes.nothing if ending.ended in _UNTOUCHED else outcomes.refer
    called = judgement.hold or judgement.stage
    sheet = ending.stage or (usual if ending.ended else called.sheet)
    if sheet not in knowledge.sheets:
        raise InputError(
            f"'{sheet[:40]}' is no stage and no small job.",
            where="stage",
            next_step=nearest(sheet, knowledge.sheets),
        )
    if ending.test and ending.test != COMPLAINT_TEST and ending.test not in knowledge.checks:
        raise InputError(
            f"'{ending.test[:40]}' is no check.",
            where="test",
            next_step=nearest(ending.test, [COMPLAINT_TEST, *knowledge.checks]),
        )
    for name in ("minutes", "parts"):
        value = getattr(ending, name)
        if value is not None:
            number(str(value), name)
    return Closed(
        found=found,
        words=ending.words or "",
        stage=knowledge.stage_of(sheet),
        job=sheet if sheet in knowledge.small_jobs else "",
        minutes=ending.minutes,
        cured=ending.passed,
        test="" if ending.passed is None else ending.test or COMPLAINT_TEST,
        ended=ending.ended or "",
        **stamp,
    )
