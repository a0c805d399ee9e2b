"""Cross-sections as SVG: well formed, named, the same every time, sayable without colour."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree

import pytest

from diagnose.pictures.cross_section import Section, Solid
from diagnose.pictures.cross_section_layout import Named
from diagnose.pictures.cross_section_svg import section_svg
from tests.real_pack import PACKS, pack_knowledge

SVG = "{http://www.w3.org/2000/svg}"
TAP = Section(
    "A tap",
    "Cut along its middle.",
    {"wall": "wall", "ring": "ring", "water": "water"},
    (
        Solid("water", "box", (-5, 0, 10, 30), "oil", label="left"),
        Solid("wall", "box", (5, 0, 3, 30), "metal", both=True, label="right"),
        Solid("ring", "disc", (5, 12, 2), "rubber", both=True, label="left"),
        Solid("", "line", (0, -2, 0, 32), "middle"),
    ),
    notes={"water": "may be hot"},
    words={"metal": "metal, cut", "oil": "water", "gas": "steam"},
)


def marked(*parts: str) -> Section:
    return Section(
        "Look here", TAP.description, TAP.names, TAP.solids, (), TAP.notes, parts, TAP.words
    )


def uncoloured(svg: str) -> str:
    """What is left where no colour is printed."""
    return re.sub(r"#[0-9a-f]{6}", "#", re.sub(r"s[0-9a-f]{8}", "id", svg))


@pytest.mark.parametrize("pack", PACKS)
@pytest.mark.parametrize("named", ["all", "marked", "state"])
def test_every_part_of_a_pack_gives_a_well_formed_picture_that_names_it(
    pack: str, named: Named
) -> None:
    knowledge = pack_knowledge(pack)
    drawing = knowledge.drawing
    assert drawing is not None
    for part in drawing.placed(knowledge.parts):
        svg = section_svg(drawing.section(knowledge.device, (part,)), named=named)
        root = ElementTree.fromstring(svg)
        assert knowledge.parts[part].name in (root.findtext(f"{SVG}title") or "")
        assert knowledge.parts[part].about in (root.findtext(f"{SVG}desc") or "")
        assert f'data-part="{part}"' in svg


def test_a_reader_that_cannot_see_it_gets_title_and_description() -> None:
    root = ElementTree.fromstring(section_svg(marked("ring")))
    assert root.get("role") == "img"
    texts = [
        entry.text
        for ident in (root.get("aria-labelledby") or "").split()
        for entry in root
        if entry.get("id") == ident
    ]
    assert texts == ["Look here: 2 ring", "Cut along its middle."]


def test_a_mark_shows_without_colour() -> None:
    plain, ring = uncoloured(section_svg(TAP)), uncoloured(section_svg(marked("ring")))
    assert 'font-weight="bold">2 ring<' not in plain and 'font-weight="bold">2 ring<' in ring
    assert 'stroke-width="3.4"' not in plain and 'stroke-width="3.4"' in ring


def test_materials_differ_without_colour() -> None:
    svg = uncoloured(section_svg(TAP))
    tiles = re.findall(r"<pattern.*?</pattern>", svg)
    assert len({re.sub(r'id="\w+"', "", tile) for tile in tiles}) == len(tiles) == 5


def test_the_key_names_what_is_in_the_picture_and_nothing_else() -> None:
    texts = {entry.text for entry in ElementTree.fromstring(section_svg(TAP)).iter(f"{SVG}text")}
    assert {"metal, cut", "water", "3 water", "(may be hot)"} <= texts and "steam" not in texts


def test_a_small_picture_names_what_is_marked_alone() -> None:
    svg = section_svg(marked("ring"), named="marked")
    assert "2 ring" in svg and "1 wall" not in svg and "may be hot" not in svg
    state = section_svg(marked("ring"), named="state")
    assert "2 ring" in state and "1 wall" not in state and "may be hot" in state


def test_the_same_section_gives_the_same_bytes_and_two_share_no_ids() -> None:
    assert section_svg(marked("ring")) == section_svg(marked("ring"))
    ids = [
        set(re.findall(r' id="(\w+)"', section_svg(section)))
        for section in (TAP, marked("ring"), marked("wall"))
    ]
    assert not ids[0] & ids[1] and not ids[1] & ids[2]


def test_markup_in_a_name_stays_text() -> None:
    solid = Solid("a", "box", (0, 0, 9, 9), "metal", label="left")
    svg = section_svg(Section("<b>", "<i>", {"a": '<script x="1">'}, (solid,), marked=("a",)))
    ElementTree.fromstring(svg)
    assert "<script" not in svg and "<b>" not in svg and "<i>" not in svg
