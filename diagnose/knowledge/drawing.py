"""The picture of a pack's device: a cross-section with named parts, from its drawing.yaml.

Rules
-----
- The drawing is told in shapes and words; how they look is the affair of pictures/.
- Where gas stands follows from the chambers: full until proved empty, and unknown counts as full.
- A part that only some devices have is drawn if this one has it, or if it is pointed at; what is
  known of a device goes before that.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Annotated

from pydantic import Field, model_validator

from diagnose.knowledge.card import Card, Id, Text
from diagnose.knowledge.device import Device
from diagnose.pictures.cross_section import Form, Material, Point, Row, Section, Side, Solid
from diagnose.pictures.cross_section_text import ART, NAME

__all__ = ["Drawing", "Part", "Shape", "TextRow"]

#: gas in the drawing of characters
_GAS = ":"

_FORMS: tuple[Form, ...] = ("box", "disc", "line", "area", "half")


class Part(Card):
    """Something that has a name on the drawing, or a name and no one place.

    ``about``: what it is for, in a sentence. ``chamber``: the chamber that it is the inside of.
    """

    id: Id
    name: Annotated[Text, Field(max_length=NAME)]
    about: Text
    chamber: Id | None = None


class Shape(Card):
    """One shape of a part: a ``box`` (x, y, width, height), a ``disc`` (x, y, radius), a ``line``
    or an ``area`` (x and y of each point), or a ``half``, an outline from the middle to the middle
    that is mirrored; in mm, the middle at x = 0, y downwards.

    ``part``: left out where it is no part's. ``of``: what it is made of. ``both``: on either side
    of the middle. ``label``: on which side its part's name stands. ``tip``: where that points to,
    if not to its centre.
    """

    part: Id | None = None
    box: list[float] | None = Field(default=None, min_length=4, max_length=4)
    disc: list[float] | None = Field(default=None, min_length=3, max_length=3)
    line: list[float] | None = Field(default=None, min_length=4)
    area: list[float] | None = Field(default=None, min_length=6)
    half: list[float] | None = Field(default=None, min_length=4)
    of: Material
    both: bool = False
    label: Side | None = None
    tip: list[float] | None = Field(default=None, min_length=2, max_length=2)
    applies_when: dict[Id, bool] = {}

    @model_validator(mode="after")
    def _one_form(self) -> Shape:
        given = [form for form in _FORMS if getattr(self, form) is not None]
        if len(given) != 1:
            raise ValueError("a shape is one of box, disc, line, area and half")
        if given[0] in ("line", "area", "half") and len(getattr(self, given[0])) % 2:
            raise ValueError("a point has two numbers")
        return self

    def solid(self, of: Material) -> Solid:
        """As pictures/ takes it, made of this."""
        form = next(form for form in _FORMS if getattr(self, form) is not None)
        tip: Point | None = None if self.tip is None else (self.tip[0], self.tip[1])
        numbers = tuple(getattr(self, form))
        return Solid(self.part or "", form, numbers, of, self.both, self.label, tip)


class TextRow(Card):
    """One line of the drawing in characters, 20 at most.

    ``art``: the drawing, `:` where gas of the ``chamber`` stands. ``parts``: what can be pointed at
    in it, and the line where that is meant; the first names the line.
    """

    art: Annotated[str, Field(max_length=ART)]
    parts: dict[Id, Annotated[str, Field(max_length=ART)]] = {}
    chamber: Id | None = None
    applies_when: dict[Id, bool] = {}


class Drawing(Card):
    """One cross-section of the device.

    ``taken``: how it is drawn where a flag of the device is not known. ``words``: what each
    material stands for, in the key. ``parts``: in the order of their numbers. ``shapes``: in the
    order in which they are drawn. ``rows``: the same in characters, for a terminal; ``signs``: what
    these stand for.
    """

    name: Text
    about: Text
    taken: dict[Id, bool] = {}
    words: dict[Material, Text] = {}
    parts: list[Part] = Field(min_length=1)
    shapes: list[Shape] = Field(min_length=1)
    rows: list[TextRow] = Field(min_length=1)
    signs: Text
    source: Id

    def part(self, ident: str) -> Part:
        """The part with this id."""
        return next(part for part in self.parts if part.id == ident)

    def placed(self, idents: Iterable[str]) -> tuple[str, ...]:
        """Those of the parts that can be pointed at, each once, in the order of their numbers."""
        drawn = set(idents) & {shape.part for shape in self.shapes}
        return tuple(part.id for part in self.parts if part.id in drawn)

    def named(self, idents: Iterable[str]) -> str:
        """Parts with their numbers, in words; empty where none has a place."""
        numbers = {part.id: n for n, part in enumerate(self.parts, 1)}
        return ", ".join(f"{numbers[i]} {self.part(i).name}" for i in self.placed(idents))

    def section(
        self,
        device: Device,
        marked: Iterable[str] = (),
        *,
        title: str = "Here",
        chambers: Mapping[str, bool] | None = None,
        flags: Mapping[str, object] | None = None,
    ) -> Section:
        """The picture for the state of a job.

        Parameters
        ----------
        marked : parts that are pointed at. title : what is said before their names. chambers :
        which may hold pressure; left out, all of them. flags : what is known of the device.
        """
        held = {**device.all_full(), **(chambers or {})}
        pointed = self.placed(marked)
        kind = self._kind(pointed, flags or {})
        shapes = [shape for shape in self.shapes if _fits(shape.applies_when, kind)]
        drawn = {shape.part for shape in shapes}
        return Section(
            title=title if pointed else self.name,
            description=self._said(device, held, pointed),
            names={part.id: part.name for part in self.parts},
            solids=tuple(shape.solid(self._made_of(shape, held)) for shape in shapes),
            rows=tuple(self._row(row, held) for row in self.rows if _fits(row.applies_when, kind)),
            notes={
                part.id: _state(device, part.chamber, held)
                for part in self.parts
                if part.chamber is not None
            },
            marked=tuple(part for part in pointed if part in drawn),
            words=self.words,
            signs=self.signs,
        )

    def _kind(self, pointed: tuple[str, ...], flags: Mapping[str, object]) -> dict[str, bool]:
        """Which kind is drawn: as known, else as what is pointed at asks, else as usual."""
        asked: dict[str, bool] = {}
        for ident in pointed:
            needs = [shape.applies_when for shape in self.shapes if shape.part == ident]
            if not any(_fits(need, {**self.taken, **asked}) for need in needs):
                asked |= needs[0]
        known = {flag: value for flag, value in flags.items() if isinstance(value, bool)}
        return {**self.taken, **asked, **known}

    def _made_of(self, shape: Shape, held: Mapping[str, bool]) -> Material:
        chamber = self.part(shape.part).chamber if shape.part else None
        return "empty" if shape.of == "gas" and chamber and not held[chamber] else shape.of

    def _row(self, row: TextRow, held: Mapping[str, bool]) -> Row:
        if row.chamber is None or held[row.chamber]:
            return Row(row.art, row.parts)
        emptied = {part: art.replace(_GAS, " ") for part, art in row.parts.items()}
        return Row(row.art.replace(_GAS, " "), emptied)

    def _said(self, device: Device, held: Mapping[str, bool], pointed: Iterable[str]) -> str:
        """What the picture shows, for who does not see it."""
        here = "; ".join(f"{self.part(i).name}: {self.part(i).about}" for i in pointed)
        states = "; ".join(f"{c.name}: {_state(device, c.id, held)}" for c in device.chambers)
        return f"{self.about} {here}{' ' if here else ''}{states}."


def _state(device: Device, chamber: str, held: Mapping[str, bool]) -> str:
    card = device.chamber(chamber)
    return card.full if held[chamber] else card.empty


def _fits(needs: Mapping[str, bool], kind: Mapping[str, bool]) -> bool:
    return all(kind.get(flag, False) == wanted for flag, wanted in needs.items())
