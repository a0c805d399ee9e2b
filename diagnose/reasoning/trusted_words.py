"""How far the customer's words are trusted beside what is known otherwise.

Rules
-----
- The words of one complaint share an error: the story may be about something else, or be heard
  wrongly throughout. So they are trusted together: fully until something else is known, and then
  as far as that bears them out, words that are borne out never more than as they were heard.
- Eyes outdo words: what a look or reading speaks against weighs nothing of what was said of it. It
  stays in the record, with what outdid it, and still tells how far the other words are trusted.
- Only belief is weighed here; floors go by what was said.

The measure is that of data conflict between two bodies of evidence, Jensen et al. 1991, *Analysis
in HUGIN of data conflict*: P(words, rest) / (P(words) P(rest)). A complaint that is astray, a share
of all that the pack states, fits whatever else is known with measure 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.hypotheses import SetTable
from diagnose.belief.network import Network
from diagnose.reasoning.evidence import CLEARLY, Item, product

__all__ = ["as_trusted", "trust"]


def as_trusted(
    compiled: Compiled, sets: SetTable, network: Network, items: Sequence[Item]
) -> list[Item]:
    """The same items, the words among them weighed as far as they are trusted.

    Parameters
    ----------
    network : of this shock, before any evidence.
    """
    share = trust(compiled, sets, network, items)
    return [_weighed(item, share, items) if item.words else item for item in items]


def trust(compiled: Compiled, sets: SetTable, network: Network, items: Sequence[Item]) -> float:
    """How far the words are trusted, 0..1, beside how they were heard.

    The certainty with which they were heard is that of complaints as they come, astray or not;
    this is by how much what else is known makes it less that they are of this shock.
    """
    words = [item for item in items if item.words]
    rest = [item for item in items if not item.words]
    if not words or not rest:
        return 1.0

    def weight(some: Sequence[Item]) -> float:
        return float(sets.weigh(network, product(compiled, some)).sum())

    fit = weight(items) * weight([]) / (weight(words) * weight(rest))
    astray = compiled.knowledge.pack.reporters.astray
    return min(1.0, fit / ((1.0 - astray) * fit + astray))


def _weighed(item: Item, share: float, items: Sequence[Item]) -> Item:
    """With chance ``share`` the words say what was heard, else nothing (see `text_likelihood`)."""
    outdone_by = next((i.ask for i in reversed(items) if _outdoes(i, item)), "")
    if outdone_by:
        return replace(item, likelihood=np.ones(len(item.likelihood)), outdone_by=outdone_by)
    return replace(item, likelihood=share * item.likelihood + (1.0 - share))


def _outdoes(look: Item, words: Item) -> bool:
    """Somebody of the shop looked at the same thing, and what was said of it is hardly so."""
    if look.by == "customer" or look.finding != words.finding:
        return False
    said = int(np.argmax(words.likelihood))
    return float(look.likelihood[said]) <= CLEARLY * float(look.likelihood.max())
