"""Words on lines: the one place where text of any origin is fitted to a width."""

from __future__ import annotations

import textwrap

from diagnose.reports.html import clean

__all__ = ["wrapped"]


def wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of a text with a hanging indent; never longer than ``width``, 20 at least.

    A word that is too long goes on in the next line, and characters that could steer a terminal
    are shown as a replacement sign.

    Parameters
    ----------
    first : begins the first line. rest : begins the others; None: blanks of the same length.

    >>> wrapped("one two three", 20, "- ")
    ['- one two three']
    """
    return textwrap.wrap(
        " ".join(clean(text).split()),
        max(width, 20),
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_on_hyphens=False,
    ) or [first.rstrip()]
