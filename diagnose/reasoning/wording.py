"""The words for verdicts and chances that screen and paper share; nothing is imported here."""

from __future__ import annotations

from typing import Literal

__all__ = ["RIDE_WORDS", "Shown", "chance_word", "percent"]

#: a verdict for the ride as it is said
Shown = Literal["ride", "ride_gently", "stop_riding", "not_judged"]

RIDE_WORDS: dict[Shown, str] = {
    "ride": "RIDE",
    "ride_gently": "RIDE GENTLY",
    "stop_riding": "STOP RIDING",
    "not_judged": "NOT LOOKED AT: NOT JUDGED",
}

#: words for chances, highest first (a scale of our own, lower edges); each can be read of the first
#: of a list as well as of the last
_WORDS = (
    (0.9, "almost certain"),
    (0.6, "likely"),
    (0.4, "about even"),
    (0.15, "possible"),
    (0.05, "a slight chance"),
    (0.0, "hardly"),
)


def chance_word(chance: float) -> str:
    """The word for a chance.

    >>> chance_word(0.6), chance_word(0.39), chance_word(0.07), chance_word(0.04)
    ('likely', 'possible', 'a slight chance', 'hardly')
    """
    return next(word for edge, word in _WORDS if chance >= edge)


def percent(chance: float) -> str:
    """A chance in whole per cent; never 0 or 100, which nothing here is.

    >>> percent(0.436), percent(0.002), percent(0.999)
    ('44\xa0%', 'under 1\xa0%', 'over 99\xa0%')
    """
    if chance < 0.005:
        return "under 1\N{NO-BREAK SPACE}%"
    if chance > 0.995:
        return "over 99\N{NO-BREAK SPACE}%"
    return f"{100.0 * chance:.0f}\N{NO-BREAK SPACE}%"
