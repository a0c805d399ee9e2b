"""Cross-sections in characters: within their width, ASCII, with what is meant marked."""

from __future__ import annotations

import pytest

from diagnose.pictures.cross_section import Row, Section
from diagnose.pictures.cross_section_text import section_text
from tests.real_pack import PACKS, pack_knowledge

ROWS = (
    Row("[o:o]", {"ring": "[#:#]", "wall": "#o:o#"}),
    Row("[ : ]", {"water": "[ # ]"}),
)
NAMES = {"ring": "ring", "wall": "wall", "water": "water"}


def tap(*marked: str) -> Section:
    return Section("Look here" if marked else "Tap", "", NAMES, (), ROWS, {}, marked, {}, "o ring")


def test_a_line_is_named_by_its_first_part_and_by_the_one_that_is_meant() -> None:
    assert section_text(tap()) == ["Tap", "[o:o] - ring", "[ : ] - water", "o ring"]
    assert section_text(tap("wall"))[:2] == ["Look here: wall", "#o:o# << WALL"]


def test_two_parts_of_one_line_are_both_marked() -> None:
    assert section_text(tap("ring", "wall"))[1] == "##:## << RING"


def test_a_narrow_screen_has_the_drawing_and_the_name_in_the_heading() -> None:
    assert section_text(tap("water"), 24)[:3] == ["Look here: water", "[o:o]", "[ # ] <<"]


@pytest.mark.parametrize("most", [1, 2, 3, 9])
@pytest.mark.parametrize("place", range(9))
def test_a_small_screen_has_the_lines_about_what_is_meant(most: int, place: int) -> None:
    rows = tuple(Row(f"[{n}]", {f"p{n}": "[#]"}) for n in range(9))
    names = {f"p{n}": f"p{n}" for n in range(9)}
    section = Section("Here", "", names, (), rows, {}, (f"p{place}",), {}, "o ring")
    lines = section_text(section, 40, most)
    assert len(lines) == 1 + most and lines[0] == f"Here: p{place}"
    shown = [line[1] for line in lines[1:]]
    here = shown.index("#")
    # In the midst, but where the drawing ends.
    assert here == (most - 1) // 2 or shown[0] in "#0" or shown[-1] in "#8"


@pytest.mark.parametrize("pack", PACKS)
@pytest.mark.parametrize("width", [24, 30, 40, 80])
def test_each_part_of_a_pack_is_marked_within_the_width(pack: str, width: int) -> None:
    knowledge = pack_knowledge(pack)
    drawing = knowledge.drawing
    assert drawing is not None
    for part in drawing.placed(knowledge.parts):
        lines = section_text(drawing.section(knowledge.device, (part,)), width)
        assert all(len(line) <= width and line.isascii() for line in lines)
        assert sum("<<" in line and "#" in line for line in lines) == 1, part
