"""What cards say of the fields of a job's shock, held against the fields that there are.

A context of an unknown field would never be met, and a feature without a flag never told: the card
would be read, and say nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.bench.kinds import KINDS
from diagnose.errors import Problem
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.nearest import nearest

__all__ = ["field_problems"]


def field_problems(knowledge: Knowledge, lines: Lines) -> list[Problem]:
    """Contexts and features of the pack that no job can tell."""
    return [*_contexts(knowledge, lines), *_features(knowledge, lines)]


def _contexts(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    fields = knowledge.device.fields
    for name, context in knowledge.pack.contexts.items():
        path = ("contexts", name, "field")
        kind = fields[context.field].kind if context.field in fields else None
        by_number = any(band.below is not None for band in context.bands)
        if kind is None:
            what = f"field: a shock has no field '{context.field}'."
            yield lines.problem("pack", "", path, what, nearest(context.field, list(fields)))
        elif by_number != (kind in KINDS):
            wants = "numbers ('below')" if kind in KINDS else "words ('value')"
            what = f"field: the bands of '{context.field}' are {wants}."
            yield lines.problem("pack", "", path, what, "Write the bands so, or correct the field.")


def _features(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    fields = knowledge.device.fields
    flags = [name for name, field in fields.items() if field.kind == "flag"]
    for feature in knowledge.pack.features:
        where = ("features", feature)
        if feature not in flags:
            what = f"features: no job says whether a shock has '{feature}'."
            yield lines.problem("pack", "", where, what, nearest(feature, flags))
        elif not fields[feature].says:
            what = f"fields: nobody can be asked for '{feature}', it has no words."
            hint = "Say it in 'says', after 'with' and 'without'."
            yield lines.problem("device", "", ("fields", feature), what, hint)
