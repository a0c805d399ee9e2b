"""HTML as a type: plain text is escaped wherever it meets a tag, so nothing can be forgotten.

Rules
-----
- Only `Html` passes unescaped, and only `tag` and `join` make it out of parts.
- Characters that could steer a terminal, a printer or the direction of reading are shown as a
  replacement sign; customers paste what they like.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from diagnose.cells import clean

__all__ = [
    "Html",
    "bullets",
    "html",
    "join",
    "link",
    "numbered",
    "table",
    "tag",
    "ticks",
]

#: a list to tick goes into columns from so many lines on, none longer than that [characters]
_LONG, _NARROW = 5, 36

_VOID = {"br", "hr", "input", "link", "meta"}
#: white space that stays where it is: a text of several lines, or a table of figures
_KEPT = "\n\t"


class Html(str):
    """Text that is HTML already."""


def html(part: str) -> Html:
    """The part as HTML: escaped, unless it is HTML.

    >>> html("1 < 2")
    '1 &lt; 2'
    """
    return part if isinstance(part, Html) else Html(escape(clean(part, _KEPT)))


def join(parts: Iterable[str], between: str = "\n") -> Html:
    """Parts one after the other, each escaped unless it is HTML."""
    return Html(html(between).join(html(part) for part in parts))


def tag(name: str, /, *parts: str, **attributes: str) -> Html:
    """An element; ``class_`` stands for class, ``data_x`` for data-x.

    >>> tag("p", "a & b", class_="note")
    '<p class="note">a &amp; b</p>'
    >>> tag("br")
    '<br>'
    """
    said = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(clean(value, _KEPT))}"'
        for key, value in attributes.items()
    )
    if name in _VOID:
        return Html(f"<{name}{said}>")
    return Html(f"<{name}{said}>{join(parts, '')}</{name}>")


def link(target: str, text: str) -> Html:
    """A link to a page or a place on it."""
    return tag("a", text, href=target)


def bullets(items: Iterable[str]) -> Html:
    """A list without order; nothing at all if it is empty."""
    rows = [tag("li", item) for item in items]
    return tag("ul", join(rows)) if rows else Html()


def ticks(items: Iterable[str]) -> Html:
    """A list to tick off with a pen, in columns where it is long; nothing at all if it is empty."""
    texts = list(items)
    short = len(texts) > _LONG and all(len(text) <= _NARROW for text in texts)
    rows = [tag("li", text) for text in texts]
    return tag("ul", join(rows), class_="ticks columns" if short else "ticks") if rows else Html()


def numbered(items: Iterable[str]) -> Html:
    """A list whose order counts; nothing at all if it is empty."""
    rows = [tag("li", item) for item in items]
    return tag("ol", join(rows)) if rows else Html()


def table(head: Iterable[str], rows: Iterable[Iterable[str]]) -> Html:
    """A table; nothing at all without rows. On narrow paper its cells stand one below
    the other, each with its head, if there are more than two in a row."""
    names = list(head)
    body = [
        tag(
            "tr",
            *(tag("td", cell, data_head=name) for name, cell in zip(names, row, strict=True)),
        )
        for row in rows
    ]
    if not body:
        return Html()
    top = tag("thead", tag("tr", *(tag("th", name, scope="col") for name in names)))
    shape = "wide" if len(names) > 2 else "slim"
    return tag("table", top, tag("tbody", join(body)), class_=shape)
