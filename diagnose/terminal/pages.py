"""Blocks laid out on pages of a given height; what belongs together stays together if it fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.cells import Line
from diagnose.terminal.door import Block

__all__ = ["Page", "paged"]


@dataclass(frozen=True)
class Page:
    """One page. ``keys``: answers whose text is wholly on the screen by the end of this page."""

    lines: tuple[Line, ...]
    keys: frozenset[str]
    blocks: range


def paged(blocks: Sequence[Block], height: int) -> list[Page]:
    """Pages of at most `height` lines, every line on just one of them.

    A block is broken only where it is higher than a page; a blank line at a page's head is the one
    thing left out.
    """
    height = max(height, 1)
    pages: list[Page] = []
    lines: list[Line] = []
    keys: set[str] = set()
    start = 0
    for n, block in enumerate(blocks):
        rest = list(block.lines)
        if lines and len(lines) + len(rest) > height:
            pages.append(Page(tuple(lines), frozenset(keys), range(start, n)))
            lines, keys, start = [], set(), n
        while rest and not lines and not rest[0]:
            rest.pop(0)
        while len(rest) > height:
            pages.append(Page(tuple(rest[:height]), frozenset(), range(start, n + 1)))
            rest, start = rest[height:], n
        lines += rest
        keys |= block.keys
    pages.append(Page(tuple(lines), frozenset(keys), range(start, len(blocks))))
    return pages
