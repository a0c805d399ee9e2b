"""Whether a finding can be there at all: what is only seen with something else waits for that.

Rules
-----
- Reported counts, by words, customer, counter or bench, as long as no better witness found it
  milder, and no look outdid the words.
- What was reported itself is in place, whatever else was.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.belief.compiled import Compiled
from diagnose.reasoning.evidence import Item

__all__ = ["in_place"]

#: who outdoes whom as a witness
_WITNESS = {"customer": 0, "counter": 1, "bench": 2}


def in_place(compiled: Compiled, items: Iterable[Item], finding: str) -> bool:
    """Nothing has to be seen before this finding, or some of it was reported."""
    card = compiled.finding(finding)
    if not card.seen_with:
        return True
    wanted = {**card.seen_with, finding: card.states[1]}
    said = [item for item in items if item.finding in wanted and not item.outdone_by]
    return any(_stands(compiled, said, name, state) for name, state in wanted.items())


def _stands(compiled: Compiled, said: list[Item], finding: str, state: str) -> bool:
    """One of the best witnesses of a finding reported it in this state, or a graver one."""
    about = [item for item in said if item.finding == finding]
    best = max((_WITNESS[item.by] for item in about), default=0)
    states = compiled.states(finding)
    least = states.index(state)
    return any(states.index(item.state) >= least for item in about if _WITNESS[item.by] == best)
