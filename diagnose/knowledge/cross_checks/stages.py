"""Stages and small jobs against one another, the data sheet and the shop."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, near, need_hint
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import NOTHING

__all__ = ["jobs_fit", "sheets_fit"]


def sheets_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """They include stages, need what the pack lists and ask what a data sheet answers."""
    equipment = knowledge.pack.equipment
    values = knowledge.device.sheet
    askable = {*values.numbers, *values.words, *values.asks}
    for ident, sheet in knowledge.sheets.items():

        def at(path: Where, what: str, hint: str, ident: str = ident) -> Problem:
            return lines.problem(knowledge.sheet_kind(ident), ident, path, what, hint)

        for n, need in enumerate(sheet.shop_needs):
            if need not in equipment:
                what = f"shop_needs: no equipment '{need}'."
                yield at(("shop_needs", n), what, need_hint(need, equipment))
        for number, step in enumerate(sheet.steps):
            for n, ask in enumerate(step.asks_sheet):
                if ask not in askable:
                    what = f"asks_sheet: no data sheet answers '{ask}'."
                    yield at(("steps", number, "asks_sheet", n), what, near(ask, askable))
        if ident in sheet.includes:
            yield at(("includes",), "it includes itself.", "Name smaller stages only.")
        for name in sheet.includes:
            if name not in knowledge.stages:
                yield at(("includes",), f"no stage '{name}'.", near(name, knowledge.stages))


def jobs_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A small job is part of its stage, and is all that the causes that name it need."""
    for ident, job in knowledge.small_jobs.items():
        stage = knowledge.stages.get(job.stage)
        if stage is None:
            hint = near(job.stage, knowledge.stages)
            yield lines.problem("small_jobs", ident, ("stage",), f"no stage '{job.stage}'.", hint)
            continue
        for name, mine, whole in (
            ("opens", job.opens, stage.opens),
            ("includes", job.includes, stage.includes),
        ):
            for word in sorted({*mine} - {*whole} - {job.stage}):
                what = f"{name}: its stage '{stage.id}' has no '{word}'."
                yield lines.problem("small_jobs", ident, (name,), what, "It does a part of it.")
        if not any(cause.remedy.job == ident for cause in knowledge.causes.values()):
            what, hint = "no cause names this job.", "Say 'job' in a remedy, or take it away."
            yield lines.problem("small_jobs", ident, (), what, hint)
    for ident, cause in knowledge.causes.items():
        name = cause.remedy.job
        if name is None:
            continue
        job = knowledge.small_jobs.get(name)
        path: Where = ("remedy", "job")
        if job is None:
            hint = near(name, knowledge.small_jobs)
            yield lines.problem("causes", ident, path, f"no small job '{name}'.", hint)
        elif job.stage not in cause.cures:
            what = f"job: '{name}' is a part of '{job.stage}', which is no cure of it."
            yield lines.problem("causes", ident, path, what, f"Cures: {', '.join(cause.cures)}.")
        elif cause.remedy.opens not in (NOTHING, *job.opens):
            what = f"job: '{name}' leaves '{cause.remedy.opens}' shut, which the remedy opens."
            yield lines.problem("causes", ident, path, what, "Name a job that opens it.")
