"""The drawing of a pack: what it shows of a job, and every slip in it told with its line.

Reaches knowledge.cross_checks.drawing.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from diagnose.knowledge.cross_checks import find_problems
from diagnose.knowledge.loader import Knowledge, read_pack
from diagnose.pictures.cross_section import Section
from tests.kettle import PACK, kettle_files, write_kettle
from tests.real_pack import PACKS, pack_knowledge, shop_knowledge

FILE = "kettle/drawing.yaml"


def drawn(pack: str, *parts: str, **more: Any) -> Section:
    knowledge = pack_knowledge(pack)
    assert knowledge.drawing is not None
    return knowledge.drawing.section(knowledge.device, parts, **more)


def gas_of(section: Section, part: str) -> set[str]:
    return {s.of for s in section.solids if s.part == part and s.of in ("gas", "empty")}


@pytest.mark.parametrize("pack", PACKS)
def test_each_cause_sits_at_a_part_and_most_at_one_that_is_drawn(pack: str) -> None:
    knowledge = pack_knowledge(pack)
    drawing = knowledge.drawing
    assert drawing is not None
    placed = [c.id for c in knowledge.causes.values() if drawing.placed(c.points_to)]
    assert all(set(c.points_to) <= knowledge.parts.keys() for c in knowledge.causes.values())
    assert all(c.points_to for c in knowledge.causes.values())
    assert len(placed) >= 0.9 * len(knowledge.causes)


@pytest.mark.parametrize("pack", PACKS)
def test_what_is_pointed_at_is_in_the_picture_whatever_kind_it_needs(pack: str) -> None:
    knowledge = pack_knowledge(pack)
    assert knowledge.drawing is not None
    for part in knowledge.drawing.placed(knowledge.parts):
        assert drawn(pack, part).marked == (part,)


@pytest.mark.parametrize("pack", PACKS)
def test_gas_is_drawn_until_its_chamber_is_proved_empty(pack: str) -> None:
    knowledge = pack_knowledge(pack)
    for part in knowledge.parts.values():
        if part.chamber is None:
            continue
        card = knowledge.device.chamber(part.chamber)
        full = drawn(pack)
        empty = drawn(pack, chambers={part.chamber: False})
        assert gas_of(full, part.id) == {"gas"} and gas_of(empty, part.id) == {"empty"}
        assert full.notes[part.id] == card.full and empty.notes[part.id] == card.empty
        assert f"{card.name}: {card.empty}" in empty.description
        assert sum(":" in row.art for row in empty.rows) < sum(":" in row.art for row in full.rows)


def test_a_mark_that_empties_one_chamber_leaves_the_others_full() -> None:
    device = shop_knowledge().device
    for words in ((), *((word,) for word in (*device.events, *device.marks))):
        held = device.after_all(words)
        section = drawn(shop_knowledge().pack.id, chambers=held)
        for part in shop_knowledge().parts.values():
            if part.chamber is not None:
                wanted = {"gas"} if held[part.chamber] else {"empty"}
                assert gas_of(section, part.id) == wanted


@pytest.mark.parametrize("pack", PACKS)
def test_what_is_known_of_a_device_goes_before_what_is_pointed_at(pack: str) -> None:
    knowledge = pack_knowledge(pack)
    assert knowledge.drawing is not None
    kinds = {part: [s.applies_when for s in knowledge.drawing.shapes if s.part == part]
             for part in knowledge.parts}  # fmt: skip
    special = {part: rows[0] for part, rows in kinds.items()
               if rows and rows[0] and all(row == rows[0] for row in rows)}  # fmt: skip
    assert special
    for part, needs in special.items():
        assert drawn(pack, part).marked == (part,)
        other = {flag: not value for flag, value in needs.items()}
        assert drawn(pack, part, flags=other).marked == ()


def kettle_drawing() -> dict[str, Any]:
    """A kettle cut open, and where each of its causes sits."""
    shapes = [
        {"part": "wall", "box": [8, 0, 2, 30], "of": "metal", "both": True, "label": "left"},
        {"part": "inside", "box": [-8, 0, 16, 30], "of": "gas", "label": "right"},
    ]
    rows = [
        {"art": "[:]", "chamber": "boiler", "parts": {"wall": "#:#", "inside": "[#]"}},
    ]
    parts = [
        {"id": "wall", "name": "wall", "about": "holds the water"},
        {"id": "inside", "name": "inside", "about": "where it boils", "chamber": "boiler"},
        {"id": "no_place", "name": "as a whole", "about": "no one place"},
    ]
    words = {
        "name": "Kettle, cut open",
        "about": "A pot.",
        "signs": ": steam",
        "source": "invented",
    }
    drawing = {**words, "parts": parts, "shapes": shapes, "rows": rows}
    pointing = {f"{file}:points_to": ["wall"] for file in kettle_files() if "/causes/" in file}
    return {FILE: drawing, **pointing}


def problems(folder: Path, drawing: dict[str, Any], **more: Any) -> list[str]:
    told = kettle_drawing()
    told[FILE] = {**told[FILE], **drawing}
    root = write_kettle(folder, {**told, **more})
    knowledge, lines, form = read_pack(root, PACK)
    found = form if knowledge is None else form + find_problems(knowledge, lines, form)
    return [f"{problem.file.rpartition('knowledge/')[2]}: {problem.what}" for problem in found]


def test_a_small_drawing_of_another_device_is_sound(tmp_path: Path) -> None:
    assert problems(tmp_path, {}) == []


def test_a_pack_without_a_drawing_points_nowhere(tmp_path: Path) -> None:
    knowledge, _, _ = read_pack(write_kettle(tmp_path), PACK)
    assert isinstance(knowledge, Knowledge)
    assert knowledge.drawing is None and knowledge.parts == {}


WALL = {"part": "wall", "box": [8, 0, 2, 30], "of": "metal", "label": "left"}
INSIDE = {"part": "inside", "disc": [0, 9, 3], "of": "gas", "label": "left"}
ROW = {"art": "[:]", "parts": {"wall": "#:#", "inside": "[#]"}}


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"taken": {"lid_open": True}}, "taken: no flag 'lid_open'."),
        ({"shapes": [WALL, {**INSIDE, "part": "insyde"}]}, "shapes: no part 'insyde'."),
        ({"shapes": [WALL, {**INSIDE, "part": "wall"}]}, "shapes: there is gas in 'wall'"),
        ({"shapes": [WALL, {**INSIDE, "label": None}]}, "parts: 'inside' cannot be pointed at."),
        ({"shapes": [WALL, {**INSIDE, "box": [0, 0, 1, 1]}]}, "a shape is one of box, disc"),
        ({"shapes": [WALL, {"line": [0, 0, 1, 1, 2], "of": "plain"}]}, "a point has two"),
        ({"rows": [{**ROW, "parts": {"wall": "#:#"}}]}, "parts: 'inside' cannot be pointed at."),
        ({"rows": [{**ROW, "chamber": "boyler"}]}, "rows: no chamber 'boyler'."),
        ({"rows": [{**ROW, "parts": {**ROW["parts"], "wall": "[:]"}}]}, "'wall' is not marked"),
        ({"source": "nobody"}, "no source 'nobody'."),
    ],
)  # fmt: skip
def test_a_slip_in_the_drawing_is_told(tmp_path: Path, change: dict[str, Any], told: str) -> None:
    found = problems(tmp_path, change)
    assert found and all(line.startswith("kettle/drawing.yaml") for line in found)
    assert any(told in line for line in found), found


def test_a_part_with_the_id_of_a_card_is_told(tmp_path: Path) -> None:
    parts = [*kettle_drawing()[FILE]["parts"], {"id": "limescale", "name": "x", "about": "x"}]
    assert problems(tmp_path, {"parts": parts}) == [
        "kettle/drawing.yaml: parts: 'limescale' is an id already."
    ]


def test_a_cause_that_points_nowhere_or_to_no_part_is_told(tmp_path: Path) -> None:
    where = "kettle/causes/limescale.yaml:points_to"
    assert problems(tmp_path, {}, **{where: []}) == [
        "kettle/causes/limescale.yaml: points_to: it does not say where it sits."
    ]
    assert problems(tmp_path, {}, **{where: ["wal"]}) == [
        "kettle/causes/limescale.yaml: points_to: no part 'wal' on the drawing."
    ]
