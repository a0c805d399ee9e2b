"""The numbers of the strategy that are no prices, each with what it stands for.

Prices stand in the pack's economics, a shop's own beside them. These are a foreman's judgement,
from memory.
"""

from __future__ import annotations

__all__ = ["AS_GOOD", "SURE", "USUAL"]

#: chance from which it is sure enough: of a cure, to open; that nothing need be opened, to say so
#: beside a sign that forbids it
SURE = 0.85

#: questions for which it counts how often people can answer, as if they had been asked before
USUAL = 4.0

#: share of the best chance of a cure that a cheaper plan must reach to be the right one
AS_GOOD = 0.8
