"""Stages against stages, the data sheet and the shop."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, near, need_hint
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["stages_fit"]


def stages_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Stages include other stages, need what the pack lists and ask what a data sheet answers."""
    equipment = knowledge.pack.equipment
    sheet = knowledge.device.sheet
    askable = {*sheet.numbers, *sheet.words, *sheet.asks}
    flags = [name for name, field in knowledge.device.fields.items() if field.says]
    stand = [step for stage in knowledge.stages.values() for step in stage.steps]
    for ident, block in knowledge.blocks.items():
        if block.steps[0] not in stand:
            what = "no stage has this block."
            yield lines.problem("blocks", ident, (), what, f"Put '- block: {ident}' on a sheet.")
    for ident, stage in knowledge.stages.items():
        for n, need in enumerate(stage.shop_needs):
            if need not in equipment:
                what = f"shop_needs: no equipment '{need}'."
                yield lines.problem(
                    "stages", ident, ("shop_needs", n), what, need_hint(need, equipment)
                )
        for number, step in enumerate(stage.steps):
            for feature in step.applies_when:
                if feature not in flags:
                    what = f"applies_when: no field '{feature}' with words in 'says'."
                    place: Where = ("steps", number, "applies_when", feature)
                    yield lines.problem("stages", ident, place, what, near(feature, flags))
            for n, ask in enumerate(step.asks_sheet):
                if ask not in askable:
                    path = ("steps", number, "asks_sheet", n)
                    what = f"asks_sheet: no data sheet answers '{ask}'."
                    yield lines.problem("stages", ident, path, what, near(ask, askable))
        if ident in stage.includes:
            yield lines.problem(
                "stages", ident, ("includes",), "it includes itself.", "Name smaller stages only."
            )
        for name in stage.includes:
            if name not in knowledge.stages:
                yield lines.problem(
                    "stages",
                    ident,
                    ("includes",),
                    f"no stage '{name}'.",
                    near(name, knowledge.stages),
                )
