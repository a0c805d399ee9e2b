"""A row that names a block stands for its steps, and what is wrong is told where it is written."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from diagnose.errors import KnowledgeError, Problem
from diagnose.knowledge.loader import load
from tests.kettle import PACK, kettle, write_kettle

OPEN, SHEET = "kettle/blocks/open_it.yaml", "kettle/stages/base_service.yaml"
BLOCK = """id: open_it
name: opened
steps:
- {do: Open the base., does: [touched, unscrewed]}
- {do: Lift the element out.}
source: invented
"""
ROWS: list[dict[str, Any]] = [
    {"do": "Write down how full it came.", "marks": ["written_down"]},
    {"do": "Look for the seal.", "marks": ["can_close_again"]},
    {"block": "open_it"},
    {"do": "Close it."},
]


def problems(folder: Path, block: str = BLOCK, rows: list[dict[str, Any]] = ROWS) -> list[Problem]:
    root = write_kettle(folder, {OPEN: block, f"{SHEET}:steps": rows})
    with pytest.raises(KnowledgeError) as refused:
        load(root, PACK)
    return refused.value.problems


def row_of(folder: Path, problem: Problem) -> str:
    return (folder / problem.file).read_text("utf-8").splitlines()[problem.line - 1]


def test_a_stage_has_the_steps_of_its_blocks_in_their_place(tmp_path: Path) -> None:
    knowledge = kettle(tmp_path, {OPEN: BLOCK, f"{SHEET}:steps": ROWS})
    assert [step.do for step in knowledge.stages["base_service"].steps] == [
        "Write down how full it came.",
        "Look for the seal.",
        "Open the base.",
        "Lift the element out.",
        "Close it.",
    ]


def test_a_slip_in_a_block_is_told_once_in_its_own_file(tmp_path: Path) -> None:
    rows = [*ROWS, {"block": "open_it"}]
    found = problems(tmp_path, BLOCK.replace("unscrewed", "unscrewd"), rows)
    (problem,) = [p for p in found if "'unscrewd'" in p.what]
    assert problem.file == f"knowledge/{OPEN}"
    assert "unscrewd" in row_of(tmp_path, problem)


def test_a_slip_after_a_block_is_told_in_the_row_of_the_sheet(tmp_path: Path) -> None:
    (problem,) = problems(tmp_path, rows=[*ROWS[:3], {"do": "Close it.", "asks_sheet": ["oil"]}])
    assert "no data sheet answers 'oil'" in problem.what
    assert (problem.file, row_of(tmp_path, problem).strip()) == (f"knowledge/{SHEET}", "- oil")
    found = problems(tmp_path, rows=[*ROWS[:3], {"do": "Close it.", "dos": []}])
    (problem,) = [p for p in found if "is not a field" in p.what]
    assert (problem.file, row_of(tmp_path, problem).strip()) == (f"knowledge/{SHEET}", "dos: []")


def test_a_block_that_there_is_not_and_one_that_no_sheet_has(tmp_path: Path) -> None:
    found = problems(tmp_path, rows=[*ROWS[:2], {"block": "opn_it"}, *ROWS[3:]])
    told = {(p.file, p.what): p for p in found}
    assert row_of(tmp_path, told[f"knowledge/{SHEET}", "no block 'opn_it'."]) == "- block: opn_it"
    assert "open_it" in told[f"knowledge/{SHEET}", "no block 'opn_it'."].next_step
    assert (f"knowledge/{OPEN}", "no sheet has this block.") in told


def test_a_row_with_a_block_has_nothing_else(tmp_path: Path) -> None:
    found = problems(tmp_path, rows=[*ROWS, {"block": "open_it", "do": "Open it."}])
    assert any(p.what == "'steps.5.block' is not a field of this card." for p in found)
