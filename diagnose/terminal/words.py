"""Words that stand beside numbers on the screen: a chance, a ride verdict, a command."""

from __future__ import annotations

__all__ = ["RIDE", "chance_word", "evidence_word"]

RIDE: dict[str, str] = {
    "ride": "RIDE",
    "ride_gently": "RIDE GENTLY",
    "stop_riding": "STOP RIDING",
}

#: words for chances, highest first (a scale of our own, lower edges)
_CHANCES = (
    (0.9, "almost certain"),
    (0.65, "likely"),
    (0.35, "about even"),
    (0.15, "possible"),
    (0.05, "not likely"),
    (0.0, "hardly"),
)

#: words for a weight of evidence in decibans; about 1 deciban is the least that people notice
#: (Good 1950, *Probability and the Weighing of Evidence*); the edges are our own
_WEIGHTS = (
    (10.0, "strongly for"),
    (3.0, "for"),
    (1.0, "a little for"),
    (-1.0, "hardly matters"),
    (-3.0, "a little against"),
    (-10.0, "against"),
)


def chance_word(chance: float) -> str:
    """The word for a chance.

    >>> chance_word(0.7), chance_word(0.04)
    ('likely', 'hardly')
    """
    return next((word for edge, word in _CHANCES if chance >= edge), "hardly")


def evidence_word(decibans: float) -> str:
    """The word for a weight of evidence [decibans].

    >>> evidence_word(12.0), evidence_word(-4.0)
    ('strongly for', 'against')
    """
    return next((word for edge, word in _WEIGHTS if decibans >= edge), "strongly against")
