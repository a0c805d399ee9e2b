"""``diagnose shop show|check``: the settings in force, and every problem of the shop's file."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from typing import Any

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import columns, print_json
from diagnose.shop.settings import SHOP_FILE, equipment_ids, shop_problems


def show_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, json=True)


def show(arguments: argparse.Namespace, context: Context) -> int:
    """The settings in force, the defaults included."""
    from diagnose.reports.wrapping import wrapped

    shop, knowledge = context.shop, context.knowledge
    money = shop.economics(knowledge)
    missing = {sheet: shop.missing_for(knowledge, sheet) for sheet in knowledge.sheets}
    if arguments.json:
        body = shop.model_dump(mode="json")
        body["money"] = money.model_dump(mode="json", exclude={"source"})
        body["cannot"] = {stage: lacks for stage, lacks in missing.items() if lacks}
        print_json(body)
        return 0
    path = context.home / SHOP_FILE
    lines = [f"{shop.name or 'The shop'}, by {path}" + ("" if path.exists() else " (not there)")]
    for stage, lacks in missing.items():
        state = f"no: {', '.join(lacks)}" if lacks else "yes"
        lines.append(f"  {knowledge.sheets[stage].name}: {state}")
    have = equipment_ids(knowledge) if shop.equipment is None else sorted(shop.equipment)
    lines.append(f"equipment: {', '.join(have) or 'none'}")
    fittings = "all" if shop.charge_fittings is None else ", ".join(sorted(shop.charge_fittings))
    lines.append(f"charge fittings: {fittings or 'none'}")
    asks = "every stage that opens something" if shop.approvals else "only what was asked about"
    lines.append(f"waits for the customer's word: {asks}")
    days = shop.ready_in_days
    if days is not None:
        closed = f", closed on {', '.join(sorted(shop.closed_on))}" if shop.closed_on else ""
        lines.append(f"ready: told for {days} working days later{closed}")
    for initials, rights in shop.people.items():
        lines.append(f"{initials}: {', '.join(sorted(rights)) or 'no rights'}")
    if not shop.people:
        lines.append("people: nobody is listed, everybody may do everything")
    values = money.model_dump(exclude={"source", "currency", "patience"})
    asked = ", ".join(f"{n:g} at the {desk}" for desk, n in money.patience)
    lines.append(f"money in {money.currency}: {', '.join(_figures(values))}")
    lines.append(f"patience in questions: {asked}")
    lines += [
        f"service {name}: every {hours:g} hours" for name, hours in shop.service_hours.items()
    ]
    for line in lines:
        print("\n".join(wrapped(line, columns(), "  " if line.startswith("  ") else "", "    ")))
    return 0


def _figures(values: Mapping[str, Any], of: str = "") -> Iterator[str]:
    """Each number with its name in words; one of each desk with the desk's name too."""
    for name, value in values.items():
        words = f"{of} {name}".strip().replace("_", " ")
        if isinstance(value, Mapping):
            yield from _figures(value, words)
        else:
            yield f"{words} {value:g}"


def check_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub)


def check(arguments: argparse.Namespace, context: Context) -> int:
    """Every problem of the shop's file, with its line."""
    problems = shop_problems(context.home, context.knowledge)
    for problem in problems:
        print(problem)
    if not problems:
        there = (context.home / SHOP_FILE).exists()
        print(
            "no problems"
            if there
            else f"no file: everything holds as in the knowledge. "
            f"It would be {context.home / SHOP_FILE}"
        )
    return 1 if problems else 0
