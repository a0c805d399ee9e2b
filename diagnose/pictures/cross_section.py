"""A thing cut open along its middle: named parts made of plain shapes, some of them pointed at.

Rules
-----
- Lengths are millimetres of the thing drawn, y downwards; what is `both` stands on either side of
  the middle, x = 0.
- Shapes are drawn in their order, later ones over earlier ones; numbers go by the order of parts.
- A mark is told four times: a heavy outline, a heavy leader, a framed name, and in the heading.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

__all__ = [
    "Form",
    "Material",
    "Point",
    "Row",
    "Section",
    "Side",
    "Solid",
    "centre",
    "outlines",
    "span",
]

Point = tuple[float, float]
Form = Literal["box", "disc", "line", "area", "half"]
Side = Literal["left", "right"]
Material = Literal[
    "metal", "other_metal", "plain", "rubber", "soft", "oil", "gas", "empty", "beyond", "middle"
]


@dataclass(frozen=True)
class Solid:
    """One shape of a part.

    Parameters
    ----------
    form : ``box`` (x, y, width, height), ``disc`` (x, y, radius), ``line``, ``area`` (points, x and
        y in turn), or ``half``: an outline from the middle to the middle that is mirrored.
    label : on which side of the picture its part's name stands; ``tip``: where that points to, if
        not to the centre of the shape.
    """

    part: str
    form: Form
    numbers: tuple[float, ...]
    of: Material
    both: bool = False
    label: Side | None = None
    tip: Point | None = None


@dataclass(frozen=True)
class Row:
    """One line of the drawing in characters.

    Parameters
    ----------
    parts : what can be pointed at in it -> the line where that is meant; the first names the line.
    """

    art: str
    parts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Section:
    """What is drawn.

    Parameters
    ----------
    title : what it is; where something is marked, what is said before its name.
    names : part -> its name, in the order of their numbers. notes : part -> what is said below it.
    marked : parts that are pointed at. words : material -> what it stands for, in the key; signs :
        the same of the characters.
    """

    title: str
    description: str
    names: Mapping[str, str]
    solids: tuple[Solid, ...]
    rows: tuple[Row, ...] = ()
    notes: Mapping[str, str] = field(default_factory=dict)
    marked: tuple[str, ...] = ()
    words: Mapping[Material, str] = field(default_factory=dict)
    signs: str = ""

    def number(self, part: str) -> int:
        """The number of a part, from 1."""
        return list(self.names).index(part) + 1

    def heading(self, *, numbered: bool = True) -> str:
        """What the picture says in a line; numbers where the picture has them.

        >>> Section("Look here", "", {"a": "seal"}, (), marked=("a",)).heading()
        'Look here: 1 seal'
        """
        if not self.marked:
            return self.title
        named = ", ".join(
            f"{self.number(part)} {self.names[part]}" if numbered else self.names[part]
            for part in self.marked
        )
        return f"{self.title}: {named}"


def outlines(solid: Solid) -> tuple[tuple[float, ...], ...]:
    """The shape as it is drawn: its numbers, and those of its mirror image where it has one.

    >>> outlines(Solid("a", "box", (10.0, 0.0, 2.0, 5.0), "metal", both=True))
    ((10.0, 0.0, 2.0, 5.0), (-12.0, 0.0, 2.0, 5.0))
    >>> outlines(Solid("a", "half", (0.0, 0.0, 3.0, 1.0), "metal"))
    ((0.0, 0.0, 3.0, 1.0, -3.0, 1.0, -0.0, 0.0),)
    """
    at = solid.numbers
    if solid.form == "half":
        pairs = list(zip(at[::2], at[1::2], strict=True))
        return ((*at, *(number for x, y in reversed(pairs) for number in (-x, y))),)
    if not solid.both:
        return (at,)
    if solid.form == "box":
        return at, (-at[0] - at[2], *at[1:])
    if solid.form == "disc":
        return at, (-at[0], *at[1:])
    return at, tuple(-number if n % 2 == 0 else number for n, number in enumerate(at))


def centre(solid: Solid) -> Point:
    """Where a part's label points: the tip, or the middle of the shape on the label's side.

    >>> centre(Solid("a", "box", (10.0, 0.0, 2.0, 4.0), "metal", both=True, label="left"))
    (-11.0, 2.0)
    """
    if solid.tip is not None:
        return solid.tip
    at = solid.numbers
    if solid.form == "box":
        x, y = at[0] + at[2] / 2, at[1] + at[3] / 2
    elif solid.form == "disc":
        x, y = at[0], at[1]
    else:
        xs, ys = at[::2], at[1::2]
        x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    return (-x if solid.both and solid.label == "left" else x), y


def span(solid: Solid) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of the shape with its mirror image [mm]."""
    boxes = []
    for at in outlines(solid):
        if solid.form == "box":
            boxes.append((at[0], at[1], at[0] + at[2], at[1] + at[3]))
        elif solid.form == "disc":
            boxes.append((at[0] - at[2], at[1] - at[2], at[0] + at[2], at[1] + at[2]))
        else:
            xs, ys = at[::2], at[1::2]
            boxes.append((min(xs), min(ys), max(xs), max(ys)))
    return (
        min(box[0] for box in boxes),
        min(box[1] for box in boxes),
        max(box[2] for box in boxes),
        max(box[3] for box in boxes),
    )
