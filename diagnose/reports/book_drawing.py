"""The book's page of the device: each kind of it cut open, every part with what points to it."""

from __future__ import annotations

from diagnose.knowledge.device import Device
from diagnose.knowledge.drawing import Drawing
from diagnose.pictures.cross_section_svg import section_svg
from diagnose.reports.book_links import Shelf
from diagnose.reports.html import Html, join, tag
from diagnose.reports.usage import used_by

__all__ = ["drawing_pages"]


def drawing_pages(shelf: Shelf) -> dict[str, str]:
    """File name -> page; no page where the pack has no drawing."""
    drawing = shelf.knowledge.drawing
    if drawing is None:
        return {}
    page = shelf.page(
        drawing.name,
        tag("p", drawing.about, class_="lead"),
        *_pictures(drawing, shelf.knowledge.device),
        tag("h2", "Parts"),
        *(_part(shelf, number, part) for number, part in enumerate(shelf.knowledge.parts, 1)),
    )
    return {"drawing.html": page}


def _pictures(drawing: Drawing, device: Device) -> list[Html]:
    """As it is drawn where nothing is known, then with each flag the other way round."""
    parts = [Html(section_svg(drawing.section(device)))]
    for flag, value in drawing.taken.items():
        word = "Without" if value else "With"
        parts.append(tag("h2", f"{word} {device.words_of(flag)}"))
        parts.append(Html(section_svg(drawing.section(device, flags={flag: not value}))))
    return parts


def _part(shelf: Shelf, number: int, ident: str) -> Html:
    card = shelf.knowledge.parts[ident]
    used = used_by(shelf.knowledge, "part", ident)
    rows = (
        tag("p", f"{way[:1].upper()}{way[1:]}: ", join(map(shelf.link, users), ", "), ".")
        for way, users in used.items()
    )
    name = tag("h3", f"{number} {card.name}", id=f"part-{ident}")
    return join([name, tag("p", f"{card.about}."), *rows])
