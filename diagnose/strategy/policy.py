"""The numbers of the strategy that are no prices, each with what it stands for.

Prices stand in the pack's economics, a shop's own beside them. These are a foreman's judgement,
from memory.
"""

from __future__ import annotations

__all__ = ["AS_GOOD", "BESIDE", "SURE", "USUAL"]

#: chance of a cure from which it is sure enough to open
SURE = 0.85

#: chance that nothing need be opened, from which a plan that opens nothing is called beside a sign
BESIDE = 0.85

#: questions for which it counts how often people can answer, as if they had been asked before
USUAL = 4.0

#: share of the best chance of a cure that a cheaper plan must reach to be the right one
AS_GOOD = 0.8
