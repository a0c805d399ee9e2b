"""Where the names of a cross-section stand beside it: sizes, the room it takes, boxes of labels.

Rules
-----
- Labels keep the order of what they name, so that their lines do not cross, and never overlap.
- Widths of letters are taken on the wide side: no reader's fonts are known.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.pictures.cross_section import Section, Solid, centre, span

__all__ = [
    "EDGE",
    "GAP",
    "SCALE",
    "SIGN",
    "Label",
    "Named",
    "Sheet",
    "heading_lines",
    "labels_of",
    "sheet_of",
]

#: which names stand beside it: all; what is marked; that and what has a note
Named = Literal["all", "marked", "state"]

# Tried by eye, in the picture's own units: how large a millimetre is, the room between things and
# from the drawing to its labels.
SCALE, GAP, EDGE, _NEAR = 2.3, 3.0, 10.0, 16.0
#: size of the letters; a picture with few names is printed smaller, and so has larger ones
_SIZES: dict[Named, float] = {"all": 12.0, "marked": 17.0, "state": 15.0}
# Against the size: a line, a sign (on the wide side, so that no word leaves its box), a bold one.
_LINE, SIGN, _BOLD = 1.17, 0.56, 0.64
_COLUMN = 16  # signs in a line of a label


@dataclass(frozen=True)
class Label:
    """A part's name: its box in the picture, its lines, and the point that it names."""

    part: str
    side: str
    x: float
    y: float
    width: float
    height: float
    lines: tuple[str, ...]
    tip: tuple[float, float]


@dataclass(frozen=True)
class Sheet:
    """Where the drawing lies in the picture; ``size``: of the letters, ``line``: of their lines."""

    left: float
    top: float
    width: float
    height: float
    drawn: tuple[float, float, float, float]
    size: float

    @property
    def line(self) -> float:
        return self.size * _LINE

    def x(self, mm: float) -> float:
        return self.left + (mm - self.drawn[0]) * SCALE

    def y(self, mm: float) -> float:
        return self.top + (mm - self.drawn[1]) * SCALE


def heading_lines(section: Section, width: float, size: float) -> list[str]:
    return textwrap.wrap(section.heading(), max(12, int((width - 2 * EDGE) / (size * _BOLD))))


def _labelled(section: Section, named: Named) -> list[Solid]:
    """The shape by which each part is named: the first that has a label."""
    wanted = {
        "all": section.names.keys(),
        "marked": set(section.marked),
        "state": {*section.marked, *section.notes},
    }[named]
    found: dict[str, Solid] = {}
    for solid in section.solids:
        if solid.label and solid.part in wanted:
            found.setdefault(solid.part, solid)
    return list(found.values())


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, _COLUMN, break_on_hyphens=False)


def _lines(section: Section, part: str) -> tuple[str, ...]:
    named = _wrapped(f"{section.number(part)} {section.names[part]}")
    note = section.notes.get(part, "")
    return (*named, *(_wrapped(f"({note})") if note else ()))


def _wide(section: Section, part: str, size: float) -> float:
    sign = _BOLD if part in section.marked else SIGN
    return max(map(len, _lines(section, part))) * sign * size


def _high(section: Section, part: str, size: float) -> float:
    return len(_lines(section, part)) * size * _LINE + 2


def sheet_of(section: Section, named: Named) -> Sheet:
    size = _SIZES[named]
    spans = [span(solid) for solid in section.solids]
    drawn = (
        min(s[0] for s in spans),
        min(s[1] for s in spans),
        max(s[2] for s in spans),
        max(s[3] for s in spans),
    )
    wide = {"left": 0.0, "right": 0.0}
    high = {"left": 0.0, "right": 0.0}
    for solid in _labelled(section, named):
        side = str(solid.label)
        wide[side] = max(wide[side], _wide(section, solid.part, size) + _NEAR)
        high[side] += _high(section, solid.part, size) + GAP
    left = EDGE + wide["left"]
    width = left + (drawn[2] - drawn[0]) * SCALE + wide["right"] + EDGE
    top = EDGE + len(heading_lines(section, width, size)) * size * _LINE + GAP
    height = top + max((drawn[3] - drawn[1]) * SCALE, *high.values()) + EDGE
    return Sheet(left, top, width, height, drawn, size)


def labels_of(section: Section, *, named: Named = "all") -> list[Label]:
    """Every label with its box; none lies over another on its side.

    They stand as near the height of what they name as the room allows, in the same order, so that
    no two of their lines cross.
    """
    sheet = sheet_of(section, named)
    out: list[Label] = []
    for side in ("left", "right"):
        rows = [s for s in _labelled(section, named) if s.label == side]
        rows.sort(key=lambda solid: (centre(solid)[1], -abs(centre(solid)[0])))
        texts = [_lines(section, solid.part) for solid in rows]
        heights = [_high(section, solid.part, sheet.size) for solid in rows]
        wanted = [sheet.y(centre(s)[1]) - h / 2 for s, h in zip(rows, heights, strict=True)]
        tops = _spread(wanted, heights, sheet.top, sheet.height - EDGE)
        for solid, text, height, top in zip(rows, texts, heights, tops, strict=True):
            wide = _wide(section, solid.part, sheet.size)
            right_edge = sheet.x(sheet.drawn[2]) + _NEAR
            x = sheet.left - _NEAR - wide if side == "left" else right_edge
            across, down = centre(solid)
            tip = (sheet.x(across), sheet.y(down))
            out.append(Label(solid.part, side, x, top, wide, height, text, tip))
    return out


def _spread(
    wanted: Sequence[float], heights: Sequence[float], top: float, bottom: float
) -> list[float]:
    """Places near the wanted ones, in their order, that neither overlap nor leave the room.

    Neighbours that would overlap are laid as one block about the middle of what they want.
    """
    blocks: list[tuple[float, float, list[int]]] = []  # top, height, rows

    def block(rows: list[int]) -> tuple[float, float, list[int]]:
        high = sum(heights[row] + GAP for row in rows) - GAP
        offsets = _offsets([heights[row] for row in rows])
        mean = sum(wanted[r] - down for r, down in zip(rows, offsets, strict=True)) / len(rows)
        return max(top, min(mean, bottom - high)), high, rows

    for n in range(len(wanted)):
        blocks.append(block([n]))
        while len(blocks) > 1 and sum(blocks[-2][:2]) + GAP > blocks[-1][0]:
            blocks[-2:] = [block(blocks[-2][2] + blocks[-1][2])]
    places = [0.0] * len(wanted)
    for begin, _, rows in blocks:
        for row, offset in zip(rows, _offsets([heights[r] for r in rows]), strict=True):
            places[row] = begin + offset
    return places


def _offsets(heights: Sequence[float]) -> list[float]:
    out, down = [], 0.0
    for height in heights:
        out.append(down)
        down += height + GAP
    return out
