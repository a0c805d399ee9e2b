"""Words for weights of evidence, as they stand beside the answers that carry them."""

from __future__ import annotations

__all__ = ["evidence_word"]

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
