"""How far the customer's story is trusted beside what is known otherwise.

Rules
-----
- A story shares an error: it may be about something else, be somebody's theory, or be heard wrongly
  throughout. So belief is one of two: that the story is of this shock, and that it is astray, when
  it says nothing. What is seen and measured moves the weight between them, so that a check of what
  was only told is worth its minutes, and one that does not bear it out puts the story aside.
- Eyes outdo words: what a look or reading speaks against weighs nothing of what was said of it. It
  stays in the record, with what outdid it, and still tells how far the story is trusted.
- Only belief is weighed here; floors go by what was said.

The measure is that of data conflict between two bodies of evidence, Jensen et al. 1991, *Analysis
in HUGIN of data conflict*: P(story, rest) / (P(story) P(rest)). A story that is astray, a share of
all that the pack states, fits whatever else is known with measure 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.hypotheses import SetTable
from diagnose.belief.network import Network
from diagnose.reasoning.evidence import CLEARLY, Item, product

__all__ = ["seen_first", "told", "trust"]


def seen_first(items: Sequence[Item]) -> list[Item]:
    """The same items; words that a look or reading speaks against weigh nothing."""
    return [_outdone(item, items) if item.words else item for item in items]


def told(item: Item) -> bool:
    """It is part of the customer's story."""
    return bool(item.words)


def trust(compiled: Compiled, sets: SetTable, network: Network, items: Sequence[Item]) -> float:
    """Chance, 0..1, that the story is of this shock; 1 where there is none.

    Parameters
    ----------
    network : of this shock, before any evidence. items : as they were reported.
    """
    story = [item for item in items if told(item)]
    rest = [item for item in items if not told(item)]
    if not story:
        return 1.0

    def weight(some: Sequence[Item]) -> float:
        return float(sets.weigh(network, product(compiled, some)).sum())

    fit = weight(items) * weight([]) / (weight(story) * weight(rest)) if rest else 1.0
    astray = compiled.knowledge.pack.reporters.astray
    return (1.0 - astray) * fit / ((1.0 - astray) * fit + astray)


def _outdone(item: Item, items: Sequence[Item]) -> Item:
    by = next((i.ask for i in reversed(items) if _outdoes(i, item)), "")
    return replace(item, likelihood=np.ones(len(item.likelihood)), outdone_by=by) if by else item


def _outdoes(look: Item, words: Item) -> bool:
    """Somebody of the shop looked at the same thing, and what was said of it is hardly so."""
    if look.by == "customer" or look.finding != words.finding:
        return False
    said = int(np.argmax(words.likelihood))
    return float(look.likelihood[said]) <= CLEARLY * float(look.likelihood.max())
