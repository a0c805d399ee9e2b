"""The one table of styles; every style only underlines what words already say.

Colours are from the palette that people with any kind of colour vision tell apart
(Okabe and Ito 2008, *Color Universal Design*): orange, sky blue, yellow, blue, no red against
green.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prompt_toolkit.styles import BaseStyle

__all__ = ["STYLES", "style"]

#: style class -> look
STYLES: dict[str, str] = {
    "top": "reverse",
    "question": "bold",
    "answer": "",
    "key": "bold",
    "chosen": "bold",
    "keys": "",
    "quiet": "",
    "heading": "bold underline",
    "bar": "fg:#0072b2",
    "big": "bold",
    "box": "bold",
    "note": "italic",
    "error": "bold underline",
    "danger": "bold reverse",
    "warning": "bold fg:#000000 bg:#e69f00",
    "caution": "bold fg:#000000 bg:#f0e442",
    "notice": "bold fg:#ffffff bg:#0072b2",
}


def style() -> BaseStyle:
    """The table as the terminal library takes it."""
    from prompt_toolkit.styles import Style

    return Style.from_dict(STYLES)
