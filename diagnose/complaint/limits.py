"""Two numbers of one text held against each other: what it was set to, and what it is marked with.

'Put 340 in and it says max 300' and 'at 295 of max 300' share all their words; only the numbers
tell one from the other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["AgainstLimit", "against_limit"]

_NUMBER = r"(?<![\d.,/:x-])(\d{2,3})(?![\d/:x]|[.,]\d|\s*[x%])"
#: words between a mark and its number at the most
_BETWEEN = 4


@dataclass(frozen=True)
class AgainstLimit:
    """A limit that a text names, and the largest other number beside it.

    ``start``, ``end``: the part of the text from the one to the other.
    """

    limit: int
    largest: int
    start: int
    end: int

    @property
    def over(self) -> bool:
        """What was set lies above the limit."""
        return self.largest > self.limit


def against_limit(text: str, marks: Sequence[str], beside: Sequence[str]) -> AgainstLimit | None:
    """The limit that a text names and the largest number held against it, or None without both.

    Parameters
    ----------
    marks : words that make a number a limit ('max', 'sticker'). beside : words after a number that
    make it something else (a length, a weight, a price).

    >>> against_limit("put 340 in and it says max 300", ["max"], ["mm"]).over
    True
    >>> against_limit("295 of max 300, 105 kilos", ["max"], ["kilos"]).over
    False
    >>> against_limit("max 300 and it is 340 mm long", ["max"], ["mm"]) is None
    True
    """
    mark = "|".join(map(re.escape, sorted(marks, key=len, reverse=True)))
    if not mark:
        return None
    # Within one clause: 'like the sticker, bounced it, 120' names no limit.
    before = rf"\b(?:{mark})\b[ :=.\"']*(?:[^\W\d]+[ :=\"']+){{0,{_BETWEEN}}}?{_NUMBER}"
    after = rf"{_NUMBER}\s*(?:[^\W\d]+\s+)?(?:{mark})\b"
    found = re.search(before, text, re.IGNORECASE) or re.search(after, text, re.IGNORECASE)
    if found is None:
        return None
    other = re.compile(r"\s*(?:" + "|".join(map(re.escape, beside)) + r")\b", re.IGNORECASE)
    numbers = [
        m
        for m in re.finditer(_NUMBER, text)
        if m.start(1) != found.start(1) and not (beside and other.match(text, m.end()))
    ]
    if not numbers:
        return None
    largest = max(numbers, key=lambda m: int(m.group(1)))
    return AgainstLimit(
        int(found.group(1)),
        int(largest.group(1)),
        min(found.start(), largest.start()),
        max(found.end(), largest.end()),
    )
