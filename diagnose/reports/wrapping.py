"""Words on lines for paper and pages: text of any origin is fitted to a width in cells."""

from __future__ import annotations

from diagnose.cells import cells, plain_text, wrap
from diagnose.started import runnable

__all__ = ["wrapped"]


def wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of a text with a hanging indent; never wider than ``width`` cells, 20 at least.

    Parameters
    ----------
    first : begins the first line. rest : blanks before the others; None: as wide as ``first``.

    >>> wrapped("one two three", 20, "- ")
    ['- one two three']
    """
    hang = cells(first if rest is None else rest)
    return plain_text(wrap([("", runnable(text))], max(width, 20), first, hang)).split("\n")
