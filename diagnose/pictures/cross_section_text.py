"""The same cross-section in characters, for a terminal or a roll of paper; ASCII throughout."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from diagnose.pictures.cross_section import Row, Section

__all__ = ["ART", "NAME", "section_text"]

#: room of the drawing itself and of a name beside it [columns]; with ` - ` between them 40 at most
ART, NAME = 20, 17


def section_text(section: Section, width: int = 80, most: int | None = None) -> list[str]:
    """Lines of at most ``width`` columns: heading, drawing with its names, key.

    On a screen too narrow for the names, only what is meant is named, in the heading. ``most``: so
    many lines of the drawing, about what is meant, and no key, where a screen has no more room.

    >>> rows = (Row("|o|", {"a": "|#|"}), Row("|:|"))
    >>> section_text(Section("Look here", "", {"a": "seal"}, (), rows, marked=("a",)), 40)
    ['Look here: seal', '|#| << SEAL', '|:|']
    """
    art = max((len(row.art) for row in section.rows), default=0)
    named = width >= art + 3 + NAME
    lines = textwrap.wrap(section.heading(numbered=False), width)
    rows = section.rows if most is None else _about(section, most)
    lines += [_line(section, row, art, named) for row in rows]
    return lines if most is not None else [*lines, *textwrap.wrap(section.signs, width)]


def _about(section: Section, most: int) -> Sequence[Row]:
    """As many lines of the drawing, those that are meant in their midst."""
    meant = [n for n, row in enumerate(section.rows) if set(section.marked) & row.parts.keys()]
    first, last = (meant[0], meant[-1]) if meant else (0, 0)
    before = max(most - (last - first + 1), 0) // 2
    start = max(0, min(first - before, len(section.rows) - most))
    return section.rows[start : start + most]


def _line(section: Section, row: Row, art: int, named: bool) -> str:
    meant = [part for part in section.marked if part in row.parts]
    if meant:
        names = section.names[meant[0]].upper() if named else ""
        return f"{_overlaid(row, meant):<{art}} << {names}".rstrip()
    first = next(iter(row.parts), "")
    return f"{row.art:<{art}} - {section.names[first]}" if first and named else row.art.rstrip()


def _overlaid(row: Row, meant: list[str]) -> str:
    """The line with every part of it that is meant."""
    lines = [row.parts[part].ljust(len(row.art)) for part in meant]
    return "".join(
        next((new for new in signs if new != old), old)
        for old, signs in zip(row.art, zip(*lines, strict=True), strict=False)
    )
