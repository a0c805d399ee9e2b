"""The drawing against itself and the device, and what cards point to against the drawing.

Rules
-----
- What has a place has one in both drawings: a shape with a label, and a row of characters.
- Where there is a drawing, every cause says where it sits; what has no one place names a part
  without a shape, so that nobody has to guess whether it was forgotten.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, near
from diagnose.knowledge.drawing import Drawing
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["drawing_fits", "pointed_is_drawn"]

_FLAG = "flag"


def drawing_fits(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Parts, chambers and flags that the drawing names are there, and each part can be shown."""
    drawing = knowledge.drawing
    if drawing is None:
        return
    for path, what, hint in (
        *_unknown(knowledge, drawing),
        *_parts(knowledge, drawing),
        *_unmarked(drawing),
    ):
        yield lines.problem("drawing", "", path, what, hint)


def pointed_is_drawn(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """What a cause, a check or a step points to is a part; a cause points to one at least."""
    parts = knowledge.parts
    for kind, ident, path, pointed in _pointing(knowledge):
        for part in pointed:
            if part not in parts:
                what = f"points_to: no part '{part}' on the drawing."
                yield lines.problem(kind, ident, path, what, near(part, parts))
    for ident, cause in knowledge.causes.items():
        if parts and not cause.points_to:
            what, hint = "points_to: it does not say where it sits.", "Name a part of drawing.yaml."
            yield lines.problem("causes", ident, ("system",), what, hint)


def _pointing(knowledge: Knowledge) -> Iterator[tuple[str, str, Where, list[str]]]:
    for ident, cause in knowledge.causes.items():
        yield "causes", ident, ("points_to",), cause.points_to
    for ident, check in knowledge.checks.items():
        yield "checks", ident, ("points_to",), check.points_to
    for ident, sheet in knowledge.sheets.items():
        for n, step in enumerate(sheet.steps):
            where = ("steps", n, "points_to")
            yield knowledge.sheet_kind(ident), ident, where, step.points_to


def _unknown(knowledge: Knowledge, drawing: Drawing) -> Iterator[tuple[Where, str, str]]:
    """Words that lead nowhere."""
    device, parts = knowledge.device, knowledge.parts
    flags = {name for name, field in device.fields.items() if field.kind == _FLAG}
    named: list[tuple[Where, str, set[str], str]] = [
        (("taken", flag), flag, flags, "flag") for flag in drawing.taken
    ]
    for n, part in enumerate(drawing.parts):
        if part.chamber is not None:
            where: Where = ("parts", n, "chamber")
            named.append((where, part.chamber, set(device.chamber_ids), "chamber"))
    for n, shape in enumerate(drawing.shapes):
        if shape.part is not None:
            named.append((("shapes", n), shape.part, set(parts), "part"))
        named += [(("shapes", n), flag, flags, "flag") for flag in shape.applies_when]
    for n, row in enumerate(drawing.rows):
        named += [(("rows", n), part, set(parts), "part") for part in row.parts]
        named += [(("rows", n), flag, flags, "flag") for flag in row.applies_when]
        if row.chamber is not None:
            named.append((("rows", n), row.chamber, set(device.chamber_ids), "chamber"))
    for where, word, known, kind in named:
        if word not in known:
            yield where, f"{where[0]}: no {kind} '{word}'.", near(word, known)
    if drawing.source not in knowledge.sources:
        hint = near(drawing.source, knowledge.sources)
        yield ("source",), f"no source '{drawing.source}'.", hint


def _parts(knowledge: Knowledge, drawing: Drawing) -> Iterator[tuple[Where, str, str]]:
    """Each part once; what has a shape has a label and a row as well, and gas has a chamber."""
    shaped = {shape.part for shape in drawing.shapes}
    labelled = {shape.part for shape in drawing.shapes if shape.label is not None}
    rows = {part for row in drawing.rows for part in row.parts}
    seen: set[str] = set()
    for n, part in enumerate(drawing.parts):
        if part.id in seen or knowledge.card(part.id) not in (None, part):
            yield ("parts", n), f"parts: '{part.id}' is an id already.", "Rename the part."
        seen.add(part.id)
        if part.id in shaped and part.id not in labelled & rows:
            hint = "Give one of its shapes a label, and name it in a row."
            yield ("parts", n), f"parts: '{part.id}' cannot be pointed at.", hint
    for n, shape in enumerate(drawing.shapes):
        holder = knowledge.parts.get(shape.part or "")
        if shape.of == "gas" and holder is not None and holder.chamber is None:
            what = f"shapes: there is gas in '{holder.id}', which is no chamber's."
            yield ("shapes", n), what, "Say whose it is by 'chamber' of the part."


def _unmarked(drawing: Drawing) -> Iterator[tuple[Where, str, str]]:
    """A row where a part is meant differs from the row as it is, and is as long."""
    for n, row in enumerate(drawing.rows):
        for part, art in row.parts.items():
            if art == row.art or len(art) != len(row.art):
                what = f"rows: '{part}' is not marked in '{row.art}'."
                yield ("rows", n, "parts", part), what, "The same line, with # where it is meant."
