"""``diagnose sheet list|show|set|use``: the shop's data sheets, blanks included."""

from __future__ import annotations

import argparse

from diagnose.bench.data_sheet import FIELDS, with_unit
from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json, store
from diagnose.shop.data_sheets import read_sheet, sheet_names, write_value


def list_sheets_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, json=True)


def list_sheets(arguments: argparse.Namespace, context: Context) -> int:
    """Every sheet, and how much of it is filled in."""
    rows = {name: read_sheet(context.home, name) for name in sheet_names(context.home)}
    if arguments.json:
        print_json(
            {
                name: {"values": len(values), "missing": len(FIELDS) - len(values)}
                for name, values in rows.items()
            }
        )
        return 0
    for name, values in rows.items():
        print(f"{name}: {len(values)} of {len(FIELDS)} values")
    if not rows:
        print("No data sheet yet. Begin one: diagnose sheet set NAME FIELD VALUE")
    return 0


def show_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, json=True)
    sub.add_argument("name")


def show(arguments: argparse.Namespace, context: Context) -> int:
    """One sheet; what is missing stands as a blank."""
    values = read_sheet(context.home, arguments.name)
    if arguments.json:
        print_json({name: values.get(name) for name in FIELDS})
        return 0
    for name, words in FIELDS.items():
        value = values.get(name)
        print(f"{name}: {'______' if value is None else with_unit(name, value)}  ({words})")
    return 0


def put_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub)
    sub.add_argument("name")
    sub.add_argument("field")
    sub.add_argument("value")


def put(arguments: argparse.Namespace, context: Context) -> int:
    """Write one value; the sheet is begun if need be."""
    value = write_value(context.home, arguments.name, arguments.field, arguments.value)
    print(f"{arguments.name}: {arguments.field} is {with_unit(arguments.field, value)}")
    return 0


def use_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, job=True, store=True)
    sub.add_argument("name")


def use(arguments: argparse.Namespace, context: Context) -> int:
    """Put a sheet's values to a job: the job keeps what it was judged by."""
    from diagnose.cli.one_job import stamp_of
    from diagnose.conversation.intake import sheet_put

    values = read_sheet(context.home, arguments.name)
    with store(arguments, context) as jobs:
        events = jobs.load(arguments.job)
        new = sheet_put(arguments.name, values, stamp_of(arguments, context))
        jobs.append(arguments.job, len(events), new)
    print(f"Job {arguments.job} goes by the data sheet {arguments.name}, {len(values)} values.")
    return 0
