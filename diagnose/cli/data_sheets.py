"""``diagnose sheet list|show|set|use``: the shop's data sheets, blanks included."""

from __future__ import annotations

import argparse

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json, store
from diagnose.errors import InputError
from diagnose.job.data_sheet import values_in, with_unit
from diagnose.shop.data_sheets import read_sheet, sheet_names, write_value
from diagnose.started import runnable


def list_sheets_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, json=True)


def _values_or_fault(context: Context, name: str) -> dict[str, float | str] | str:
    """A sheet's values; in words why it is no sheet of this pack, so that the others are shown."""
    try:
        return read_sheet(context.home, name, context.knowledge.device.sheet)
    except InputError as error:
        return error.what


def list_sheets(arguments: argparse.Namespace, context: Context) -> int:
    """Every sheet, and how much of it is filled in."""
    rows = {name: _values_or_fault(context, name) for name in sheet_names(context.home)}
    most = len(values_in(context.knowledge.device.sheet))
    if arguments.json:
        print_json(
            {
                name: {"problem": values}
                if isinstance(values, str)
                else {"values": len(values), "missing": most - len(values)}
                for name, values in rows.items()
            }
        )
        return 0
    for name, values in rows.items():
        print(f"{name}: {values if isinstance(values, str) else f'{len(values)} of {most} values'}")
    if not rows:
        print(runnable("No data sheet yet. Begin one: diagnose sheet set NAME FIELD VALUE"))
    return 0


def show_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, json=True)
    sub.add_argument("name")


def show(arguments: argparse.Namespace, context: Context) -> int:
    """One sheet; what is missing stands as a blank."""
    values = read_sheet(context.home, arguments.name, context.knowledge.device.sheet)
    fields = values_in(context.knowledge.device.sheet)
    if arguments.json:
        print_json({name: values.get(name) for name in fields})
        return 0
    for name, words in fields.items():
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
    value = write_value(
        context.home,
        arguments.name,
        arguments.field,
        arguments.value,
        context.knowledge.device.sheet,
    )
    print(f"{arguments.name}: {arguments.field} is {with_unit(arguments.field, value)}")
    return 0


def use_options(sub: argparse.ArgumentParser) -> None:
    options.action(sub, job=True, store=True)
    sub.add_argument("name")


def use(arguments: argparse.Namespace, context: Context) -> int:
    """Put a sheet's values to a job: the job keeps what it was judged by."""
    from diagnose.cli.one_job import stamp_of
    from diagnose.conversation.intake import sheet_put

    held = context.knowledge.device.sheet
    values = read_sheet(context.home, arguments.name, held)
    with store(arguments, context) as jobs:
        events = jobs.load(arguments.job)
        new = sheet_put(arguments.name, values, held, stamp_of(arguments, context))
        jobs.append(arguments.job, len(events), new)
    print(f"Job {arguments.job} goes by the data sheet {arguments.name}, {len(values)} values.")
    return 0
