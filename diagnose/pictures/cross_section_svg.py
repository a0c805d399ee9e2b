"""A cross-section as SVG: cut parts hatched, names beside them, the part that is meant marked.

Rules
-----
- Materials differ by hatching, a mark by line, number and word, so that a grey print says
  the same.
- What belongs to a part stands in a group that names it (`data-part`); ids come from what is in the
  picture, because several share a page.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from html import escape

from diagnose.pictures.cross_section import Material, Section, Solid, outlines
from diagnose.pictures.cross_section_layout import (
    EDGE,
    GAP,
    SCALE,
    SIGN,
    Label,
    Named,
    Sheet,
    heading_lines,
    labels_of,
    sheet_of,
)

__all__ = ["section_svg"]

_MARK = "#b3261e"
_INK = "#1d2733"

#: material -> fill, line width, dash
_LOOK: dict[Material, tuple[str, float, str]] = {
    "metal": ("hatch", 1.1, ""),
    "other_metal": ("hatch_back", 1.1, ""),
    "plain": ("#ffffff", 1.1, ""),
    "rubber": ("#262626", 0.6, ""),
    "soft": ("cross", 0.8, ""),
    "oil": ("dashes", 0.6, ""),
    "gas": ("dots", 0.6, ""),
    "empty": ("#ffffff", 0.6, ""),
    "beyond": ("none", 0.9, "7 3"),
    "middle": ("none", 0.7, "12 3 2 3"),
}

#: fill -> size of the tile, ground, what is drawn on it
_TILES = {
    "hatch": (5.0, "#e4e7eb", '<path d="M-1,1L1,-1M0,5L5,0M4,6L6,4" stroke="#5b6673"/>'),
    "hatch_back": (5.0, "#f1efe9", '<path d="M4,-1L6,1M0,0L5,5M-1,4L1,6" stroke="#77705f"/>'),
    "cross": (4.0, "#d9cdbb", '<path d="M0,4L4,0M0,0L4,4" stroke="#6b5b3e" stroke-width=".7"/>'),
    "dashes": (8.0, "#ecc97a", '<path d="M1,2h4M5,6h3M0,6h1" stroke="#6b4500"'
               ' stroke-width="1.1"/>'),
    "dots": (6.0, "#f1f8fc", '<path d="M1.5,1.5h1.2M4.5,4.5h1.2" stroke="#123a68"'
             ' stroke-width="1.2"/>'),
}  # fmt: skip


def _at(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def section_svg(section: Section, *, named: Named = "all") -> str:
    """SVG element of a cross-section.

    Parameters
    ----------
    named : which names stand beside it; with few of them it is a small picture.

    >>> section_svg(Section("t", "d", {"a": "x"}, (Solid("a", "box", (0, 0, 9, 9), "metal"),)))[:4]
    '<svg'
    """
    sheet = sheet_of(section, named)
    key = _key(section) if named == "all" else ()
    labels = labels_of(section, named=named)
    keyed = _key_lines(key, sheet)
    height = sheet.height + len(keyed) * (sheet.line + 4) + (GAP if keyed else 0)
    said = f"{section.heading()}{section.description}{named}{section.solids}{section.notes}"
    ident = f"s{zlib.crc32(said.encode()):08x}"
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_at(sheet.width)} {_at(height)}" '
        f'width="{_at(sheet.width)}" height="{_at(height)}" role="img" class="section {named}" '
        f'aria-labelledby="{ident}t {ident}d" font-family="sans-serif" '
        f'font-size="{_at(sheet.size)}" fill="{_INK}" stroke-linejoin="round">',
        f'<title id="{ident}t">{escape(section.heading())}</title>',
        f'<desc id="{ident}d">{escape(section.description)}</desc>',
        "<defs>",
        *(_tile(ident, name) for name in _TILES),
        "</defs>",
    ]
    for n, line in enumerate(heading_lines(section, sheet.width, sheet.size)):
        out.append(
            f'<text x="{_at(sheet.width / 2)}" y="{_at(EDGE + sheet.size + n * sheet.line)}" '
            f'font-weight="bold" text-anchor="middle">{escape(line)}</text>'
        )
    for solid in section.solids:
        out.append(_drawn(sheet, ident, section, solid))
    for solid in section.solids:
        if solid.part in section.marked:
            out += [_path(sheet, solid, at, _outline(solid)) for at in outlines(solid)]
    for label in labels:
        out += _label(section, label, sheet)
    for n, row in enumerate(keyed):
        out += _key_row(ident, row, sheet, sheet.height + n * (sheet.line + 4))
    return "\n".join([*out, "</svg>"])


def _tile(ident: str, name: str) -> str:
    size, ground, lines = _TILES[name]
    return (
        f'<pattern id="{ident}{name}" width="{_at(size)}" height="{_at(size)}" '
        f'patternUnits="userSpaceOnUse"><path d="M0,0h{_at(size)}v{_at(size)}h-{_at(size)}z" '
        f'fill="{ground}"/>{lines}</pattern>'
    )


def _fill(ident: str, material: Material) -> str:
    name = _LOOK[material][0]
    return f"url(#{ident}{name})" if name in _TILES else name


def _drawn(sheet: Sheet, ident: str, section: Section, solid: Solid) -> str:
    _, line, dash = _LOOK[solid.of]
    fill = "none" if solid.form == "line" else _fill(ident, solid.of)
    style = f'fill="{fill}" stroke="{_INK}" stroke-width="{_at(line)}"'
    style += f' stroke-dasharray="{dash}"' if dash else ""
    shapes = "".join(_path(sheet, solid, at, style) for at in outlines(solid))
    name = escape(section.names.get(solid.part, ""), quote=True)
    return f'<g data-part="{escape(solid.part)}" aria-label="{name}">{shapes}</g>'


def _outline(solid: Solid) -> str:
    wide = 3.4 if solid.of in ("rubber", "plain") else 2.6
    return f'fill="none" stroke="{_MARK}" stroke-width="{wide}"'


def _path(sheet: Sheet, solid: Solid, at: Sequence[float], style: str) -> str:
    if solid.form == "disc":
        return (
            f'<circle cx="{_at(sheet.x(at[0]))}" cy="{_at(sheet.y(at[1]))}" '
            f'r="{_at(at[2] * SCALE)}" {style}/>'
        )
    if solid.form == "box":
        return (
            f'<rect x="{_at(sheet.x(at[0]))}" y="{_at(sheet.y(at[1]))}" '
            f'width="{_at(at[2] * SCALE)}" height="{_at(at[3] * SCALE)}" {style}/>'
        )
    points = " ".join(
        f"{_at(sheet.x(x))},{_at(sheet.y(y))}" for x, y in zip(at[::2], at[1::2], strict=True)
    )
    return f'<{"polyline" if solid.form == "line" else "polygon"} points="{points}" {style}/>'


def _label(section: Section, label: Label, sheet: Sheet) -> Iterator[str]:
    marked = label.part in section.marked
    left = label.side == "left"
    edge = label.x + label.width + 3 if left else label.x - 3
    middle = label.y + label.height / 2
    x, y = label.tip
    leader = f'd="M{_at(edge)},{_at(middle)}L{_at(x)},{_at(y)}" fill="none"'
    yield f'<path {leader} stroke="#ffffff" stroke-width="{5 if marked else 2.6}"/>'
    line = (
        f'stroke="{_MARK}" stroke-width="2.2"' if marked else f'stroke="{_INK}" stroke-width=".8"'
    )
    yield f"<path {leader} {line}/>"
    dot = f'r="4" fill="{_MARK}"' if marked else f'r="1.8" fill="{_INK}"'
    yield f'<circle cx="{_at(x)}" cy="{_at(y)}" {dot} stroke="#ffffff" stroke-width=".8"/>'
    if marked:
        yield (
            f'<rect x="{_at(label.x - 3)}" y="{_at(label.y - 1)}" width="{_at(label.width + 6)}" '
            f'height="{_at(label.height + 2)}" fill="#ffffff" stroke="{_MARK}" stroke-width="2.2"/>'
        )
    anchor = "end" if left else "start"
    weight = ' font-weight="bold"' if marked else ""
    across = label.x + label.width if left else label.x
    for row, text in enumerate(label.lines):
        yield (
            f'<text x="{_at(across)}" y="{_at(label.y + sheet.size * 0.95 + row * sheet.line)}" '
            f'text-anchor="{anchor}"{weight}>{escape(text)}</text>'
        )


def _key(section: Section) -> tuple[tuple[Material, str], ...]:
    """Materials that stand in the picture, with their words."""
    there = {solid.of for solid in section.solids}
    return tuple((of, words) for of, words in section.words.items() if of in there)


def _key_lines(
    key: Sequence[tuple[Material, str]], sheet: Sheet
) -> list[list[tuple[Material, str]]]:
    lines: list[list[tuple[Material, str]]] = []
    room = 0.0
    for of, words in key:
        wide = _key_width(words, sheet)
        if not lines or wide > room:
            lines.append([])
            room = sheet.width - 2 * EDGE
        lines[-1].append((of, words))
        room -= wide
    return lines


def _key_width(words: str, sheet: Sheet) -> float:
    return 24 + len(words) * SIGN * sheet.size + 6


def _key_row(
    ident: str, row: Sequence[tuple[Material, str]], sheet: Sheet, y: float
) -> Iterator[str]:
    x = EDGE
    for of, words in row:
        yield (
            f'<rect x="{_at(x)}" y="{_at(y)}" width="18" height="11" fill="{_fill(ident, of)}" '
            f'stroke="{_INK}" stroke-width=".8"/>'
        )
        yield f'<text x="{_at(x + 23)}" y="{_at(y + 10)}">{escape(words)}</text>'
        x += _key_width(words, sheet)
