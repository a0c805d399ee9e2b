"""Blocks of steps: what several sheets have in common is written once and named where it stands.

Rules
-----
- A row ``- block: ID`` among the steps of a sheet's file stands for the steps of that block, in
  their order. Whoever reads a sheet sees its steps alone.
- A step knows where it is written: a problem of it names the block's file, not the sheet's.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.errors import Problem
from diagnose.knowledge.models import Block
from diagnose.knowledge.yaml_lines import Document
from diagnose.nearest import nearest

__all__ = ["with_blocks"]

_Path = tuple[str | int, ...]


def with_blocks(
    document: Document, blocks: Mapping[str, tuple[Block, Document]], problems: list[Problem]
) -> Document:
    """A sheet's file with the steps of each block in its place.

    Parameters
    ----------
    blocks : id -> block and its file. problems : gets every row that names no block.
    """
    rows = document.value.get("steps") if isinstance(document.value, dict) else None
    if not isinstance(rows, list):
        return document
    steps: list[Any] = []
    elsewhere: dict[_Path, tuple[Document, _Path]] = {}
    for number, row in enumerate(rows):
        if not (isinstance(row, dict) and row.keys() == {"block"}):
            elsewhere["steps", len(steps)] = document, ("steps", number)
            steps.append(row)
        elif row["block"] not in blocks:
            what, hint = f"no block '{row['block']}'.", nearest(str(row["block"]), blocks)
            problems.append(Problem(*document.place(("steps", number)), what, hint))
        else:
            block, file = blocks[row["block"]]
            for n, step in enumerate(block.steps):
                elsewhere["steps", len(steps)] = file, ("steps", n)
                steps.append(step)
    return Document(document.file, {**document.value, "steps": steps}, document.lines, elsewhere)
