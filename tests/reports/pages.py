"""Reads pages as a strict browser would: every tag closed, every link and id listed."""

from __future__ import annotations

from html.parser import HTMLParser

from tests.real_pack import shop_knowledge as knowledge

__all__ = ["Reader", "knowledge", "read"]

_VOID = {"br", "hr", "input", "link", "meta"}
#: what a paragraph cannot hold: a browser would close the paragraph before it
_BLOCKS = {"p", "ul", "ol", "table", "div", "h1", "h2", "h3", "dl"}


class Reader(HTMLParser):
    """Tags, links, ids and visible text of one page, and every fault of its form."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.faults: list[str] = []
        self.links: list[str] = []
        self.ids: list[str] = []
        self.sources: list[str] = []
        self.tags: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        if len(values) != len(attrs):
            self.faults.append(f"<{tag}> repeats an attribute")
        if tag in _BLOCKS and "p" in self.open:
            self.faults.append(f"<{tag}> in a paragraph")
        self.tags.append(tag)
        self.ids += [values["id"] or ""] if "id" in values else []
        if tag == "a":
            self.links.append(values.get("href") or "")
        self.sources += [value or "" for key, value in attrs if key in ("src", "action")]
        if tag == "link":
            self.sources.append(values.get("href") or "")
        if any(key.startswith("on") for key in values):
            self.faults.append(f"<{tag}> carries code")
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in _VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> closes nothing")

    def handle_data(self, data: str) -> None:
        if not {"script", "style"} & set(self.open):
            self.text += data


def read(page: str) -> Reader:
    """The page's parts; a tag left open at the end is a fault too."""
    reader = Reader()
    reader.feed(page)
    reader.close()
    reader.faults += [f"<{tag}> is not closed" for tag in reader.open]
    if len(set(reader.ids)) != len(reader.ids):
        twice = sorted({ident for ident in reader.ids if reader.ids.count(ident) > 1})
        reader.faults.append(f"ids stand twice: {twice}")
    return reader
