"""The shop's own data sheets of shocks, a file each in ``sheets/`` of its folder.

Rules
-----
- People may write a sheet with an editor; what is wrong in it is told with its line.
- Nothing is proposed for a value that is not there.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

from diagnose.atomic import write_whole
from diagnose.errors import InputError
from diagnose.job.data_sheet import read_value, values_in, with_unit
from diagnose.knowledge.device import SheetValues
from diagnose.knowledge.yaml_lines import read_yaml

__all__ = ["read_sheet", "sheet_names", "write_value"]

_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,59}")


def _path(home: Path, name: str) -> Path:
    if not _NAME.fullmatch(name):
        raise InputError(
            f"'{name[:60]}' cannot name a data sheet.",
            next_step="Use small letters, digits, hyphens and underscores.",
        )
    return home / "sheets" / f"{name}.yaml"


def read_sheet(home: Path, name: str, held: SheetValues) -> dict[str, float | str]:
    """The values of one sheet, numbers in their field's unit; ``held``: what a pack's sheet holds.

    Raises
    ------
    InputError : there is no such sheet, or a value of it is wrong, with its line.
    """
    path = _path(home, name)
    if not path.exists():
        names = ", ".join(sheet_names(home)) or "none yet"
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


def sheet_names(home: Path) -> list[str]:
    """The sheets that there are."""
    return sorted(path.stem for path in (home / "sheets").glob("*.yaml"))


def write_value(home: Path, name: str, field: str, text: str, held: SheetValues) -> float | str:
    """Write one value, as typed, into a sheet; the sheet is begun if need be. The value as kept.

    Raises
    ------
    InputError : no such field, not its unit, or the file cannot be written.
    """
    value = read_value(field, text, held)
    path = _path(home, name)
    values = read_sheet(home, name, held) if path.exists() else {}
    values[field] = value
    # JSON strings and numbers are YAML, so that no word is read as something else.
    lines = [
        f"{field}: {json.dumps(values[field], ensure_ascii=False)}\n"
        for field in values_in(held)
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
    return value
