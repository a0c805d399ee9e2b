"""Do not open: a rule that is decided before any cost.

Rules
-----
- A sign stands when the belief that its finding is at or above its state reaches the pack's
  threshold and something was reported that speaks for it; unknown history alone is no sign.
- Only the healthy answer of one of the sign's clearing checks, done at the bench, clears it; a
  customer's word raises a sign and never clears it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.belief.compiled import Compiled
from diagnose.belief.network import Floats
from diagnose.knowledge.models import Sign
from diagnose.session.evidence import Item

__all__ = ["StandingSign", "standing_signs"]


@dataclass(frozen=True)
class StandingSign:
    """A sign that forbids opening, how strongly it is believed, and what would clear it."""

    sign: Sign
    chance: float
    clearing: tuple[str, ...]


def standing_signs(
    compiled: Compiled, findings: Mapping[str, Floats], items: list[Item]
) -> list[StandingSign]:
    """Signs at or above the threshold that no bench check has cleared, strongest first."""
    pack = compiled.knowledge.pack
    cleared = {sign.id for sign in pack.signs if any(_clears(compiled, sign, i) for i in items)}
    result = []
    for sign in pack.signs:
        states = compiled.states(sign.finding)
        chance = float(findings[sign.finding][states.index(sign.at_least) :].sum())
        if sign.id not in cleared and chance >= pack.do_not_open_at:
            result.append(StandingSign(sign, chance, tuple(sign.cleared_by)))
    return sorted(result, key=lambda s: -s.chance)


def _clears(compiled: Compiled, sign: Sign, item: Item) -> bool:
    if item.by != "bench" or item.ask not in sign.cleared_by:
        return False
    healthy = compiled.states(item.finding)[0]
    return item.state == healthy and float(item.likelihood[0]) == float(item.likelihood.max())
