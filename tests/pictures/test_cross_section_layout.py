"""Labels: none over another, none outside the picture, in the order of what they name."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.pictures.cross_section import Section, Side, Solid
from diagnose.pictures.cross_section_layout import Named, labels_of, sheet_of
from tests.real_pack import PACKS, pack_knowledge

PLACES = st.lists(
    st.tuples(
        st.floats(-40, 40), st.floats(0, 200), st.sampled_from(("left", "right")), st.integers(1, 5)
    ),
    min_size=1,
    max_size=30,
)
NAMED: tuple[Named, ...] = ("all", "marked", "state")


def apart(section: Section, named: Named) -> None:
    """No two labels touch, and each lies within the picture and beside the drawing."""
    sheet = sheet_of(section, named)
    labels = labels_of(section, named=named)
    for label in labels:
        assert label.x >= 0 and label.x + label.width <= sheet.width
        assert label.y >= 0 and label.y + label.height <= sheet.height
        inside = (sheet.x(sheet.drawn[0]), sheet.x(sheet.drawn[2]))
        assert label.x + label.width <= inside[0] or label.x >= inside[1]
    for one, other in combinations(labels, 2):
        beside = one.x + one.width <= other.x or other.x + other.width <= one.x
        assert beside or one.y + one.height <= other.y or other.y + other.height <= one.y


@given(PLACES)
def test_no_two_labels_touch_wherever_the_parts_lie(
    places: list[tuple[float, float, Side, int]],
) -> None:
    solids = tuple(
        Solid(f"p{n}", "disc", (x, y, 1.0), "rubber", label=side)
        for n, (x, y, side, _) in enumerate(places)
    )
    names = {f"p{n}": "seal ring " * words for n, (_, _, _, words) in enumerate(places)}
    section = Section("t", "", names, solids, marked=("p0",))
    for named in NAMED:
        apart(section, named)
    for side in ("left", "right"):
        rows = [label for label in labels_of(section) if label.side == side]
        assert [r.tip[1] for r in rows] == sorted(r.tip[1] for r in rows)
        assert [r.y for r in rows] == sorted(r.y for r in rows)


@pytest.mark.parametrize("pack", PACKS)
def test_no_two_labels_of_a_pack_touch_in_any_of_its_pictures(pack: str) -> None:
    knowledge = pack_knowledge(pack)
    drawing, device = knowledge.drawing, knowledge.device
    assert drawing is not None
    kinds = [{}, *({flag: not value} for flag, value in drawing.taken.items())]
    for flags in kinds:
        for pointed in ((), *((part.id,) for part in drawing.parts), tuple(knowledge.parts)):
            section = drawing.section(device, pointed, flags=flags)
            for named in NAMED:
                apart(section, named)


def test_few_names_make_larger_letters() -> None:
    section = Section("t", "", {"a": "seal"}, (Solid("a", "box", (0, 0, 9, 9), "metal"),))
    assert sheet_of(section, "marked").size > sheet_of(section, "all").size
