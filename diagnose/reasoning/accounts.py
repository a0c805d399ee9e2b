"""The accounts of a job among which belief is divided: what each of them leaves unsaid.

Rules
-----
- A story shares an error: it may be about something else, be somebody's theory, or be heard wrongly
  throughout. So one account believes it, and in one it is astray and says nothing. What is seen and
  measured moves the weight between them, so that a check of what was only told is worth its
  minutes, and one that does not bear it out puts the story aside.
- What comes and goes is often away when it is looked for, and then for all looks alike: in a third
  account the story is believed, and looking in vain says little of what may hide.
- Eyes outdo words: what a look or reading speaks against weighs nothing of what was said of it. It
  stays in the record, with what outdid it, and still tells how far the story is trusted.
- Only belief is weighed here; floors go by what was said.

The measure is that of data conflict between two bodies of evidence, Jensen et al. 1991, *Analysis
in HUGIN of data conflict*: P(story, rest) / (P(story) P(rest)). A story that is astray, a share of
all that the pack states, fits whatever else is known with measure 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from diagnose.belief.compiled import Compiled
from diagnose.belief.hypotheses import SetTable
from diagnose.belief.network import Network
from diagnose.reasoning.evidence import CLEARLY, Item, product

__all__ = ["Account", "accounts_of", "seen_first"]

Kind = Literal["shows", "hides", "astray"]


@dataclass(frozen=True)
class Account:
    """One way to take what was reported.

    Attributes
    ----------
    kind : the story is of this shock and shows, or hides just now, or is astray. share : chance of
    it, 0..1. items : what counts in it. hidden : findings that are mostly looked for in vain.
    """

    kind: Kind
    share: float
    items: tuple[Item, ...]
    hidden: frozenset[str] = frozenset()

    @property
    def believes(self) -> bool:
        """The story is believed."""
        return self.kind != "astray"


def seen_first(items: Sequence[Item]) -> list[Item]:
    """The same items; words that a look or reading speaks against weigh nothing."""
    return [_outdone(item, items) if item.words else item for item in items]


def _told(item: Item) -> bool:
    """It is part of the customer's story."""
    return bool(item.words)


def accounts_of(
    compiled: Compiled, sets: SetTable, network: Network, reported: Sequence[Item]
) -> tuple[Account, ...]:
    """The accounts, the story believed first; their shares sum to 1.

    Parameters
    ----------
    network : of this shock, before any evidence. reported : all evidence, in order.
    """
    items = seen_first(reported)
    whole = Account("shows", 1.0, tuple(items))
    story = [item for item in reported if _told(item)]
    hidden, unseen = _hidden(compiled, reported)
    if not story and not hidden:
        return (whole,)

    def weight(some: Sequence[Item]) -> float:
        return float(sets.weigh(network, product(compiled, some)).sum())

    astray = compiled.knowledge.pack.reporters.astray if story else 0.0
    nothing = weight([])
    rows = [(whole, (1.0 - astray) * (1.0 - unseen) * weight(reported) / nothing)]
    if hidden:
        found = [_weakened(compiled, item, hidden) for item in reported]
        # Words that only a vain look outdid stand again.
        passing = Account("hides", 1.0, tuple(seen_first(found)), hidden)
        rows.append((passing, (1.0 - astray) * unseen * weight(found) / nothing))
    if story:
        rest = [item for item in reported if not _told(item)]
        apart = weight(story) * weight(rest) / nothing**2
        silent = Account("astray", 1.0, tuple(i for i in items if not _told(i)))
        rows.append((silent, astray * apart))
    return _shared(rows)


def _shared(rows: Sequence[tuple[Account, float]]) -> tuple[Account, ...]:
    whole = sum(weight for _, weight in rows)
    if whole <= 0.0:  # nothing fits anything: what was reported stands
        return (rows[0][0],)
    return tuple(replace(account, share=weight / whole) for account, weight in rows)


def _hidden(compiled: Compiled, items: Sequence[Item]) -> tuple[frozenset[str], float]:
    """Findings that hide while the trouble is away, and how often it is; none where it stays."""
    passing = compiled.knowledge.pack.comes_and_goes
    ill = {
        i.finding for i in items if i.by == "customer" and i.state != compiled.states(i.finding)[0]
    }
    if passing is None or ill.isdisjoint(passing.findings):
        return frozenset(), 0.0
    return frozenset(ill | set(passing.hides)), passing.unseen


def _weakened(compiled: Compiled, item: Item, hidden: frozenset[str]) -> Item:
    """The same item; where somebody looked in vain for what hides, as he would have, had he not
    brought it out.
    """
    passing = compiled.knowledge.pack.comes_and_goes
    healthy = item.state == compiled.states(item.finding)[0]
    if passing is None or not healthy or item.by == "customer" or item.finding not in hidden:
        return item
    out = passing.brought_out.at(item.by)
    return replace(item, likelihood=out * item.likelihood + (1.0 - out) * item.likelihood[0])


def _outdone(item: Item, items: Sequence[Item]) -> Item:
    by = next((i.ask for i in reversed(items) if _outdoes(i, item)), "")
    return replace(item, likelihood=np.ones(len(item.likelihood)), outdone_by=by) if by else item


def _outdoes(look: Item, words: Item) -> bool:
    """Somebody of the shop looked at the same thing, and what was said of it is hardly so."""
    if look.by == "customer" or look.finding != words.finding:
        return False
    said = int(np.argmax(words.likelihood))
    return float(look.likelihood[said]) <= CLEARLY * float(look.likelihood.max())
