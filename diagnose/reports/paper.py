"""What a sheet of paper says, once: parts that become text at any width, or a page.

Rules
-----
- A report is a list of these parts; text and page are two prints of the same list, so neither can
  say what the other does not.
- Text is made for a roll of 32 columns as much as for 80: nothing is cut, nothing runs over.
- Whatever customers or people of the shop have written passes `clean` on both ways.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.cells import cells, clean
from diagnose.knowledge.models import Caution
from diagnose.pictures.chart import Drawable
from diagnose.pictures.cross_section import Section
from diagnose.pictures.cross_section_layout import Named
from diagnose.pictures.cross_section_svg import section_svg
from diagnose.pictures.cross_section_text import section_text
from diagnose.pictures.svg import chart_svg
from diagnose.pictures.text import chart_text
from diagnose.reasoning.wording import RIDE_WORDS, Shown
from diagnose.reports.html import Html, bullets, join, numbered, table, tag, ticks
from diagnose.reports.page import Paper, caution_box, page, ride_box, write_in
from diagnose.reports.wrapping import wrapped

__all__ = [
    "NOTHING_LACKS",
    "Cutaway",
    "Document",
    "Grid",
    "Head",
    "Items",
    "Lacking",
    "Pairs",
    "Para",
    "Part",
    "Picture",
    "Ride",
    "StepPart",
    "Warn",
    "WriteIn",
    "warnings",
]


#: stage -> what the shop lacks for it
Lacking = Mapping[str, Sequence[str]]
NOTHING_LACKS: Lacking = {}


@dataclass(frozen=True)
class Head:
    """A heading."""

    text: str


@dataclass(frozen=True)
class Para:
    """A paragraph; ``strong`` where it must not be passed over."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Items:
    """A list: plain, to tick off with a pen, or one whose order counts."""

    items: tuple[str, ...]
    style: Literal["plain", "ticks", "numbered"] = "plain"


@dataclass(frozen=True)
class Pairs:
    """Short values with their names."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Grid:
    """A table; on a narrow roll each row becomes a few lines of its own."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Warn:
    """One safety message, whole; ``again``: it stands whole above, here its first sentence."""

    caution: Caution
    again: bool = False


@dataclass(frozen=True)
class Ride:
    """May it be ridden: words in a frame, and why."""

    verdict: Shown
    why: str


@dataclass(frozen=True)
class WriteIn:
    """A line to write on."""

    label: str


@dataclass(frozen=True)
class Picture:
    """A small chart."""

    chart: Drawable


@dataclass(frozen=True)
class Cutaway:
    """The thing itself, cut open, and which of its names stand beside it."""

    section: Section
    named: Named = "all"


@dataclass(frozen=True)
class StepPart:
    """One step of a sheet with all that belongs before and after it."""

    title: str
    parts: tuple[Part, ...]


Part = Head | Para | Items | Pairs | Grid | Warn | Ride | WriteIn | Picture | Cutaway | StepPart


def warnings(cautions: Iterable[Caution], said: set[str]) -> list[Warn]:
    """Cautions as parts: whole the first time on a page. ``said``: those that were; it grows."""
    parts = [Warn(card, again=card.id in said) for card in cautions]
    said |= {part.caution.id for part in parts}
    return parts


@dataclass(frozen=True)
class Document:
    """One report, to be printed as text or as a page."""

    title: str
    parts: tuple[Part, ...]
    foot: str = ""

    def text(self, width: int = 80) -> str:
        """The report as plain text.

        Parameters
        ----------
        width : columns, 24 at least.

        >>> print(Document("Job 7", (Para("All well."),)).text(24), end="")
        Job 7
        =====
        <BLANKLINE>
        All well.
        """
        head = wrapped(self.title, width)
        lines = [*head, "=" * min(width, max(map(len, head)))]
        for part in self.parts:
            block = _lines(part, width)
            if block:
                lines += ["", *block]
        if self.foot:
            lines += ["", *wrapped(self.foot, width)]
        return "\n".join(lines) + "\n"

    def page(self, paper: Paper = "printer") -> str:
        """The report as one complete HTML file."""
        return page(self.title, *map(_element, self.parts), paper=paper, foot=self.foot)


def _lines(part: Part, width: int) -> list[str]:
    match part:
        case Head(text):
            head = wrapped(text[:1].upper() + text[1:], width)
            return [*head, "-" * min(width, max(map(len, head)))]
        case Para(text, strong):
            return wrapped(text, width, "! " if strong else "", "")
        case Items(items, style):
            signs = {"plain": "- ", "ticks": "[ ] "}
            return [
                line
                for number, item in enumerate(items, 1)
                for line in wrapped(item, width, signs.get(style, f"{number}. "))
            ]
        case Pairs(rows):
            return [line for name, value in rows for line in wrapped(f"{name}: {value}", width)]
        case Grid(head, rows):
            return [line for row in rows for line in _row(head, row, width)]
        case Warn(caution, again):
            sign = "" if caution.signal_word == "NOTICE" else "/!\\ "
            rest = "" if again else f" {caution.consequence} {caution.avoidance}"
            text = f"{caution.hazard}{rest}"
            return wrapped(text, width, f"{sign}{caution.signal_word}: ", "    ")
        case Ride(verdict, why):
            return _framed(RIDE_WORDS[verdict], why, width)
        case WriteIn(label):
            return _to_write(label, width)
        case Picture(chart):
            drawn = chart_text(chart, max(30, min(width, 64)), 9, plain=True).splitlines()
            # The plot fits; its title and key are as long as their words.
            fitted = ([line] if cells(line) <= width else wrapped(line, width) for line in drawn)
            return [line for lines in fitted for line in lines]
        case Cutaway(section, _):
            return section_text(section, width)
        case StepPart(title, parts):
            lines = wrapped(title, width)
            for inner in parts:
                lines += _lines(inner, width)
            return lines


def _row(head: Sequence[str], row: Sequence[str], width: int) -> list[str]:
    lines = wrapped(row[0], width, "- ")
    for name, cell in zip(head[1:], row[1:], strict=True):
        if cell:
            lines += wrapped(f"{name}: {cell}", width, "  ", "    ")
    return lines


def _framed(word: str, why: str, width: int) -> list[str]:
    inside = width - 4
    rows = [word, *wrapped(why, inside)]
    edge = "+" + "-" * (width - 2) + "+"
    padded = (row + " " * (inside - cells(row)) for row in rows)
    return [edge, *(f"| {row} |" for row in padded), edge]


def _to_write(label: str, width: int) -> list[str]:
    lines = wrapped(f"{label}:", width)
    room = width - cells(lines[-1]) - 1
    if room >= 10:
        return [*lines[:-1], f"{lines[-1]} {'_' * room}"]
    return [*lines, "_" * width]


def _element(part: Part) -> Html:
    match part:
        case Head(text):
            return tag("h2", text)
        case Para(text, strong):
            return tag("p", tag("b", text)) if strong else tag("p", text)
        case Items(items, style):
            return {"plain": bullets, "ticks": ticks, "numbered": numbered}[style](items)
        case Pairs(rows):
            return _pairs(rows)
        case Grid(head, rows):
            return table(head, rows)
        case Warn(caution, again):
            return caution_box(caution, again=again)
        case Ride(verdict, why):
            return ride_box(verdict, clean(why))
        case WriteIn(label):
            return write_in(label)
        case Picture(chart):
            return Html(chart_svg(chart))
        case Cutaway(section, named):
            return Html(section_svg(section, named=named))
        case StepPart(title, parts):
            return tag("div", tag("h3", title), join(map(_element, parts)), class_="step")


def _pairs(rows: Iterable[tuple[str, str]]) -> Html:
    # One width for the names, so that tables below one another line up.
    cells = [
        tag("tr", tag("td", tag("b", name), style="width:45%"), tag("td", value))
        for name, value in rows
    ]
    return tag("table", tag("tbody", join(cells)), class_="slim") if cells else Html()
