"""Checks against what the bench can measure, and against what the shop has.

Rules
-----
- A quantity that no formula computes would end a talk with an error, and a spread outside what it
  can give would make every reading speak for the other states: both are told before anybody asks.
- A word of a shared list (equipment, tools, acts) that stands nowhere else is a slip until it is in
  that list: a tool that is misspelt counts as missing in every shop.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from math import inf

from diagnose.bench.formulas import MEASURABLE
from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import near, need_hint
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Check
from diagnose.nearest import nearest

__all__ = ["acts_are_shared", "readings_fit", "tools_are_known"]


def readings_fit(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A measuring check names a bench quantity, and spreads of it that can be and can be told."""
    for ident, check in knowledge.checks.items():
        if check.reading is None:
            continue
        name = check.reading.quantity
        quantity = MEASURABLE.get(name)
        if quantity is None:
            what = f"reading.quantity: no bench quantity '{name}'."
            hint = f"{nearest(name, MEASURABLE)} A new one is a Formula of bench/."
            yield lines.problem("checks", ident, ("reading", "quantity"), what, hint)
            continue
        if check.reading.per_hour is not None and not quantity.waits:
            what = f"reading.per_hour: the readings of {name} do not lie apart in time."
            hint = "Leave it out, or name a formula that is read twice."
            yield lines.problem("checks", ident, ("reading", "per_hour"), what, hint)
        low, high = quantity.possible or (-inf, inf)
        seen: dict[tuple[float, float], str] = {}
        for state, spread in check.reading.states.items():
            path = ("reading", "states", state)
            if not low <= spread.mean <= high or spread.sd > high - low:
                what = (
                    f"reading.states.{state}: {spread.mean:g} ± {spread.sd:g} {quantity.unit};"
                    f" {name} lies between {low:g} and {high:g}."
                )
                yield lines.problem("checks", ident, path, what, "Correct the number or its unit.")
            other = seen.setdefault((spread.mean, spread.sd), state)
            if other != state:
                what = f"reading.states.{state}: the same spread as '{other}'."
                yield lines.problem("checks", ident, path, what, "Say how a reading tells them.")


def tools_are_known(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Tools and shop equipment of checks stand in the pack's lists."""
    pack = knowledge.pack
    for ident, check in knowledge.checks.items():
        for n, need in enumerate(check.shop_needs):
            if need not in pack.equipment:
                what = f"shop_needs: no equipment '{need}'."
                hint = need_hint(need, pack.equipment)
                yield lines.problem("checks", ident, ("shop_needs", n), what, hint)
        for n, tool in enumerate(check.tools):
            if tool not in pack.tools:
                what = f"tools: no tool '{tool}'."
                hint = f"{near(tool, pack.tools)} What is new goes into 'tools' of pack.yaml first."
                yield lines.problem("checks", ident, ("tools", n), what, hint)


def acts_are_shared(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A preparation is shared by checks and takes each of one place the same time."""
    users: defaultdict[str, list[Check]] = defaultdict(list)
    for check in knowledge.checks.values():
        if check.act is not None:
            users[check.act].append(check)
        elif check.act_minutes:
            what = f"act_minutes: {check.act_minutes:g} minutes of no act."
            hint = "Name the act that shares them, or add them to 'minutes'."
            yield lines.problem("checks", check.id, ("act_minutes",), what, hint)
    for act, checks in users.items():
        if len(checks) == 1:
            what = f"act: no other check shares '{act}'."
            hint = f"{near(act, users.keys() - {act})} If nothing shares it, add it to 'minutes'."
            yield lines.problem("checks", checks[0].id, ("act",), what, hint)
        for check in checks:
            alike = [c for c in checks if c.at == check.at]
            usual = max({c.act_minutes for c in alike}, key=[c.act_minutes for c in alike].count)
            if check.act_minutes != usual:
                what = f"act_minutes: {check.act_minutes:g} minutes; '{act}' takes {usual:g}."
                hint = "Write the same in all checks that share it."
                yield lines.problem("checks", check.id, ("act_minutes",), what, hint)
