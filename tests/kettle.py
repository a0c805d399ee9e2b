"""A made-up pack about another device, written out as files that a test may break first."""

from __future__ import annotations

import copy
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from diagnose.knowledge.loader import Knowledge, load
from diagnose.knowledge.yaml_lines import read_yaml
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["GONE", "PACK", "kettle", "kettle_files", "kettle_reasoner", "write_kettle"]

PACK = "kettle"

#: a change that takes the field, or the whole file, away
GONE = object()


@cache
def _files() -> dict[str, Any]:
    document = read_yaml(Path(__file__).with_suffix(".yaml"), "kettle.yaml", [])
    assert document is not None
    files: dict[str, Any] = document.value
    return files


def kettle_files() -> dict[str, Any]:
    """A copy of all files: path -> content."""
    return copy.deepcopy(_files())


def write_kettle(folder: Path, changes: dict[str, Any] | None = None) -> Path:
    """Write the pack and return the root of its knowledge.

    Parameters
    ----------
    changes : ``file:field.field`` -> new value, `GONE` takes it away; a bare ``file`` is replaced
    by this text.
    """
    files = kettle_files()
    for key, value in (changes or {}).items():
        name, _, path = key.partition(":")
        if not path:
            files[name] = value
            continue
        place = files[name]
        *way, last = [int(part) if part.isdigit() else part for part in path.split(".")]
        for part in way:
            place = place[part]
        if value is GONE:
            del place[last]
        else:
            place[last] = value
    root = folder / "knowledge"
    for name, content in files.items():
        if content is GONE:
            continue
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if isinstance(content, bytes):
            path.write_bytes(content)
        else:
            text = content if isinstance(content, str) else yaml.safe_dump(content, sort_keys=False)
            path.write_text(text, "utf-8")
    return root


def kettle(folder: Path, changes: dict[str, Any] | None = None) -> Knowledge:
    """The pack, loaded and checked."""
    return load(write_kettle(folder, changes), PACK)


@cache
def kettle_reasoner() -> Reasoner:
    """The unchanged pack, ready for judging; one for all tests, as nothing in it changes."""
    with tempfile.TemporaryDirectory() as folder:
        return Reasoner(kettle(Path(folder)))
