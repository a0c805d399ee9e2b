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
from collections.abc import Iterator, Mapping
from math import inf

from diagnose.bench.formula import Formula
from diagnose.bench.formulas import MEASURABLE
from diagnose.errors import Problem
from diagnose.knowledge.cross_checks.common import Where, near, need_hint
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Check, Spread
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
        yield from _clock_fits(knowledge, check, quantity, lines)
        yield from _measured_elsewhere(knowledge, check, lines)
        for n, said in enumerate(check.reading.also):
            if said.value is None and said.finding not in check.findings:
                what = f"reading.also: no answer says anything of '{said.finding}'."
                hint = "Say it in 'says' of each answer, for whoever judges by eye."
                yield lines.problem("checks", ident, ("reading", "also", n, "finding"), what, hint)
        rows: list[tuple[Where, str, Mapping[str, Spread]]] = [((), name, check.reading.states)]
        if check.reading.instead is not None:
            rows.append((("instead",), check.reading.instead.value, check.reading.instead.states))
        rows += [
            (("also", n), said.value or name, said.states)
            for n, said in enumerate(check.reading.also)
        ]
        ranges = {name: quantity.possible or (-inf, inf), **quantity.further}
        for place, value, spreads in rows:
            if value not in ranges:
                what = f"reading.{place[0]}: {name} gives no value '{value}'."
                where = ("reading", *place, "value")
                yield lines.problem("checks", ident, where, what, near(value, quantity.further))
                continue
            unit = "" if place else f" {quantity.unit}"
            # What only follows from a reading may leave states alike: it speaks of the healthy one.
            alike = () if "also" in place else _alike(spreads)
            for state, slip, hint in (*_impossible(value, ranges[value], unit, spreads), *alike):
                where = ("reading", *place, "states", state)
                what = f"{'.'.join(map(str, where))}: {slip}"
                yield lines.problem("checks", ident, where, what, hint)


def _impossible(
    value: str, possible: tuple[float, float], unit: str, spreads: Mapping[str, Spread]
) -> Iterator[tuple[str, str, str]]:
    """State, slip and remedy of spreads that no reading gives."""
    low, high = possible
    for state, spread in spreads.items():
        if not low <= spread.mean <= high or spread.sd > high - low:
            what = (
                f"{spread.mean:g} ± {spread.sd:g}{unit}; {value} lies between {low:g} and {high:g}."
            )
            yield state, what, "Correct the number or its unit."


def _alike(spreads: Mapping[str, Spread]) -> Iterator[tuple[str, str, str]]:
    """State, slip and remedy of spreads that tell nothing apart."""
    seen: dict[tuple[float, float], str] = {}
    for state, spread in spreads.items():
        other = seen.setdefault((spread.mean, spread.sd), state)
        if other != state:
            yield state, f"the same spread as '{other}'.", "Say how a reading tells them."


def _clock_fits(
    knowledge: Knowledge, check: Check, quantity: Formula, lines: Lines
) -> Iterator[Problem]:
    """What is read twice is judged by rates and says what it is to show; nothing else is."""
    assert check.reading is not None
    shows = check.reading.shows
    ill = (
        knowledge.findings[check.observes].states[1:]
        if check.observes in knowledge.findings
        else []
    )
    if quantity.waits and shows is None:
        what = f"reading: the readings of {quantity.name} lie apart in time."
        hint = "Say the mildest state that it is to show: 'shows:'."
        yield lines.problem("checks", check.id, ("reading", "quantity"), what, hint)
    elif shows is not None and not quantity.waits:
        what = f"reading.shows: the readings of {quantity.name} do not lie apart in time."
        hint = "Leave it out, or name a formula that is read twice."
        yield lines.problem("checks", check.id, ("reading", "shows"), what, hint)
    elif shows is not None and shows not in ill:
        what = f"reading.shows: no ill state '{shows}'."
        yield lines.problem("checks", check.id, ("reading", "shows"), what, near(shows, ill))


def _measured_elsewhere(knowledge: Knowledge, check: Check, lines: Lines) -> Iterator[Problem]:
    """A check uses what another one measures, by the formula that it measures with."""
    assert check.reading is not None
    for ask, quantity in check.reading.uses.items():
        other = knowledge.checks.get(ask)
        if other is None or other.reading is None:
            what, hint = f"reading.uses: no measuring check '{ask}'.", near(ask, knowledge.checks)
        elif other.reading.quantity != quantity:
            what = f"reading.uses: '{ask}' does not measure '{quantity}'."
            hint = f"It measures {other.reading.quantity}."
        else:
            continue
        yield lines.problem("checks", check.id, ("reading", "uses", ask), what, hint)


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
