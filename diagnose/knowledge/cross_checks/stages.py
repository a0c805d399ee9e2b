"""Stages and small jobs against one another, the data sheet and the shop."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, near, need_hint
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import NOTHING

__all__ = ["asks_reached", "jobs_fit", "sheets_fit"]


def sheets_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """They include stages, need what the pack lists and ask what a data sheet answers."""
    equipment = knowledge.pack.equipment
    values = knowledge.device.sheet
    askable = {*values.numbers, *values.words, *values.asks}
    flags = [name for name, field in knowledge.device.fields.items() if field.says]
    stand = [step for sheet in knowledge.sheets.values() for step in sheet.steps]
    for ident, block in knowledge.blocks.items():
        if block.steps[0] not in stand:
            what = "no sheet has this block."
            yield lines.problem("blocks", ident, (), what, f"Put '- block: {ident}' on a sheet.")
    for ident, sheet in knowledge.sheets.items():

        def at(path: Where, what: str, hint: str, ident: str = ident) -> Problem:
            return lines.problem(knowledge.sheet_kind(ident), ident, path, what, hint)

        for n, need in enumerate(sheet.shop_needs):
            if need not in equipment:
                what = f"shop_needs: no equipment '{need}'."
                yield at(("shop_needs", n), what, need_hint(need, equipment))
        for number, step in enumerate(sheet.steps):
            for feature in step.applies_when:
                if feature not in flags:
                    what = f"applies_when: no field '{feature}' with words in 'says'."
                    place: Where = ("steps", number, "applies_when", feature)
                    yield at(place, what, near(feature, flags))
            for n, ident_asked in enumerate(step.asks):
                place = ("steps", number, "asks", n)
                check = knowledge.checks.get(ident_asked)
                if check is None or check.at != "bench":
                    what = f"asks: no check of the bench '{ident_asked}'."
                    yield at(place, what, near(ident_asked, knowledge.checks))
                elif done := knowledge.device.effects(check.does):
                    what = f"asks: '{ident_asked}' does something to it: {', '.join(done)}."
                    yield at(place, what, "Name a check that only looks at what is open.")
            if step.uncovers is not None and step.uncovers not in sheet.opens:
                what = f"uncovers: this sheet leaves '{step.uncovers}' shut."
                yield at(("steps", number, "uncovers"), what, near(step.uncovers, sheet.opens))
            for n, ask in enumerate(step.asks_sheet):
                if ask not in askable:
                    what = f"asks_sheet: no data sheet answers '{ask}'."
                    yield at(("steps", number, "asks_sheet", n), what, near(ask, askable))
        if ident in sheet.includes:
            yield at(("includes",), "it includes itself.", "Name smaller stages only.")
        for name in sheet.includes:
            if name not in knowledge.stages:
                yield at(("includes",), f"no stage '{name}'.", near(name, knowledge.stages))


def asks_reached(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """What is only seen once a sheet has opened it is asked for by a step of a sheet."""
    asked = {
        ask for sheet in knowledge.sheets.values() for step in sheet.steps for ask in step.asks
    }
    conditions = knowledge.device.conditions
    for ident, check in knowledge.checks.items():
        for need in check.needs:
            if need in conditions and conditions[need].made_by and ident not in asked:
                what = f"needs: '{need}' is only so in the middle of a sheet, and none asks for it."
                hint = "Name the check in 'asks' of the step that uncovers it."
                yield lines.problem("checks", ident, ("needs",), what, hint)


def jobs_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A small job opens no more than its stage, and all that the causes that name it need."""
    jobs = knowledge.small_jobs
    for ident, job in jobs.items():
        stage = knowledge.stages.get(job.stage)
        if stage is None:
            hint = near(job.stage, knowledge.stages)
            yield lines.problem("small_jobs", ident, ("stage",), f"no stage '{job.stage}'.", hint)
            continue
        for chamber in sorted({*job.opens} - {*stage.opens}):
            what = f"opens: its stage '{stage.id}' leaves '{chamber}' shut."
            yield lines.problem("small_jobs", ident, ("opens",), what, "It is a part of its stage.")
    for ident, cause in knowledge.causes.items():
        name = cause.remedy.job
        path: Where = ("remedy", "job")
        if name is None:
            continue
        if name not in jobs:
            what, hint = f"no small job '{name}'.", near(name, jobs)
        elif jobs[name].stage not in cause.cures:
            what = f"job: '{name}' is a part of '{jobs[name].stage}', which is no cure of it."
            hint = f"Cures: {', '.join(cause.cures)}."
        elif cause.remedy.opens not in (NOTHING, *jobs[name].opens):
            what = f"job: '{name}' leaves '{cause.remedy.opens}' shut, which the remedy opens."
            hint = "Name a job that opens it."
        else:
            continue
        yield lines.problem("causes", ident, path, what, hint)
