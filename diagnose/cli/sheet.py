"""``diagnose sheet list|show|set|use``: the shop's own data sheets of shocks, a file each.

Rules
-----
- A sheet is a file in ``sheets/`` of the shop's folder; people may write it with an editor.
- A value that is not there is shown as a blank and named as missing; nothing is proposed for it.
- Using a sheet copies its values into the job: the job keeps what it was judged by.
"""

from __future__ import annotations

import argparse
import json
import re
from pathlib import Path

from diagnose.atomic import write_whole
from diagnose.cli.context import Context
from diagnose.cli.jobs import print_json, store
from diagnose.errors import InputError
from diagnose.job.data_sheet import read_value, values_in, with_unit
from diagnose.knowledge.yaml_lines import read_yaml

__all__ = ["list_sheets", "put", "read_sheet", "show", "use"]

_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,59}")


def _path(context: Context, name: str) -> Path:
    if not _NAME.fullmatch(name):
        raise InputError(
            f"'{name[:60]}' cannot name a data sheet.",
            next_step="Use small letters, digits, hyphens and underscores.",
        )
    return context.home / "sheets" / f"{name}.yaml"


def read_sheet(context: Context, name: str) -> dict[str, float | str]:
    """The values of one sheet, numbers in their field's unit.

    Raises
    ------
    InputError : there is no such sheet, or a value of it is wrong, with its line.
    """
    path = _path(context, name)
    if not path.exists():
        names = ", ".join(_names(context)) or "none yet"
        raise InputError(
            f"there is no data sheet '{name}'.",
            next_step=f"Sheets: {names}. Begin one: diagnose sheet set {name} FIELD VALUE",
        )
    problems: list[object] = []
    document = read_yaml(path, str(path), problems)  # type: ignore[arg-type]
    if document is None or problems:
        raise InputError(str(problems[0]))
    value = document.value or {}
    if not isinstance(value, dict):
        raise InputError("a data sheet is a mapping of fields.", where=f"{path}:1")
    held = context.knowledge.device.sheet
    result: dict[str, float | str] = {}
    for field, entry in value.items():
        try:
            result[field] = read_value(field, with_unit(field, entry), held)
        except InputError as error:
            line = document.line((field,))
            raise InputError(
                error.what, where=f"{path}:{line}", next_step=error.next_step
            ) from error
    return result


def _names(context: Context) -> list[str]:
    return sorted(path.stem for path in (context.home / "sheets").glob("*.yaml"))


def _values_or_fault(context: Context, name: str) -> dict[str, float | str] | str:
    """A sheet's values; in words why it is no sheet of this pack, so that the others are shown."""
    try:
        return read_sheet(context, name)
    except InputError as error:
        return error.what


def list_sheets(arguments: argparse.Namespace, context: Context) -> int:
    """Every sheet, and how much of it is filled in."""
    rows = {name: _values_or_fault(context, name) for name in _names(context)}
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
        print("No data sheet yet. Begin one: diagnose sheet set NAME FIELD VALUE")
    return 0


def show(arguments: argparse.Namespace, context: Context) -> int:
    """One sheet; what is missing stands as a blank."""
    values = read_sheet(context, arguments.name)
    fields = values_in(context.knowledge.device.sheet)
    if arguments.json:
        print_json({name: values.get(name) for name in fields})
        return 0
    for name, words in fields.items():
        value = values.get(name)
        print(f"{name}: {'______' if value is None else with_unit(name, value)}  ({words})")
    return 0


def put(arguments: argparse.Namespace, context: Context) -> int:
    """Write one value; the sheet is begun if need be."""
    value = read_value(arguments.field, arguments.value, context.knowledge.device.sheet)
    path = _path(context, arguments.name)
    values = read_sheet(context, arguments.name) if path.exists() else {}
    values[arguments.field] = value
    # JSON strings and numbers are YAML, so that no word is read as something else.
    lines = [
        f"{field}: {json.dumps(values[field], ensure_ascii=False)}\n"
        for field in values_in(context.knowledge.device.sheet)
        if field in values
    ]
    try:
        write_whole(path, "".join(lines))
    except OSError as error:
        raise InputError(
            f"the data sheet cannot be written: {error.strerror}.",
            where=str(path),
            next_step="Check the folder's rights.",
        ) from error
    print(f"{arguments.name}: {arguments.field} is {with_unit(arguments.field, value)}")
    return 0


def use(arguments: argparse.Namespace, context: Context) -> int:
    """Put a sheet's values to a job."""
    from diagnose.job.events import Filed
    from diagnose.job.facts import Facts

    values = read_sheet(context, arguments.name)
    with store(arguments, context) as jobs:
        events = jobs.load(arguments.job)
        put_to = Filed(
            facts=Facts(sheet=arguments.name, sheet_values=values),
            time=context.clock(),
            person=arguments.person,
        )
        jobs.append(arguments.job, len(events), [put_to])
    print(f"Job {arguments.job} goes by the data sheet {arguments.name}, {len(values)} values.")
    return 0
