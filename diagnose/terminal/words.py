"""Words for weights of evidence, as they stand beside the answers that carry them."""

from __future__ import annotations

__all__ = ["evidence_word", "weighed"]

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


def evidence_word(decibans: float) -> str:
    """The word for a weight of evidence [decibans].

    >>> evidence_word(12.0), evidence_word(-4.0)
    ('strongly for', 'against')
    """
    return next((word for edge, word in _WEIGHTS if decibans >= edge), "strongly against")


def weighed(decibans: float) -> str:
    """A weight of evidence [decibans] in words, and by how much the odds go up or down.

    >>> weighed(12.0), weighed(-4.8), weighed(0.2)
    ('strongly for, odds times 16', 'against, odds divided by 3.0', 'hardly matters')
    """
    word = evidence_word(decibans)
    if abs(decibans) < 1.0:
        return word
    factor = 10.0 ** (abs(decibans) / 10.0)
    shown = f"{factor:.1f}" if factor < 5.0 else f"{factor:.0f}"
    return f"{word}, odds {'times' if decibans > 0.0 else 'divided by'} {shown}"
