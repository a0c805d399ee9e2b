"""Where in a text the words stand that no reading used."""

from __future__ import annotations

import re
from collections.abc import Collection

from diagnose.complaint.english import DULL, HEDGES
from diagnose.complaint.recogniser import Understanding

__all__ = ["left_over"]

#: letters of a word that can carry a complaint by itself
_SHORTEST = 3

_WORD = re.compile(r"[^\W_]+(?:['\N{RIGHT SINGLE QUOTATION MARK}-][^\W_]+)*")


def left_over(
    text: str, known: Understanding, device: Collection[str] = ()
) -> list[tuple[int, int]]:
    """Places (start, end) of the words of content that carry no reading; neighbours together.

    Words that are said of anything ('bike', 'perhaps') carry no complaint and are left out, as are
    those that name the ``device`` itself.

    >>> left_over("squidgy feel, it creaks", Understanding(unknown=("squidgy", "feel", "creaks")))
    [(0, 12), (17, 23)]
    """
    unknown = {word.lower() for word in known.unknown} - DULL - HEDGES - set(device)
    used = [range(said.start, said.end) for said in known.heard]
    found: list[tuple[int, int]] = []
    for match in _WORD.finditer(text):
        start, end = match.span()
        if end - start < _SHORTEST or match.group().lower() not in unknown:
            continue
        if any(start in span for span in used):
            continue
        if found and not text[found[-1][1] : start].strip():
            start = found.pop()[0]
        found.append((start, end))
    return found
