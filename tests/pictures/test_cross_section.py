"""Shapes and their mirror images, and what a picture says of itself."""

from __future__ import annotations

import pytest

from diagnose.pictures.cross_section import Form, Section, Solid, centre, outlines, span

NUMBERS: dict[Form, tuple[float, ...]] = {
    "box": (2.0, 1.0, 3.0, 4.0),
    "disc": (4.0, 3.0, 2.0),
    "line": (2.0, 1.0, 5.0, 5.0),
    "area": (2.0, 1.0, 5.0, 1.0, 5.0, 5.0),
}


@pytest.mark.parametrize("form", NUMBERS)
def test_what_is_on_both_sides_is_its_own_mirror_image(form: Form) -> None:
    left, top, right, bottom = span(Solid("a", form, NUMBERS[form], "metal", both=True))
    assert left == -right and right > 0
    assert span(Solid("a", form, NUMBERS[form], "metal"))[1:] == (top, right, bottom)


def test_a_half_is_closed_over_the_middle() -> None:
    (whole,) = outlines(Solid("a", "half", (0.0, 0.0, 3.0, 0.0, 2.0, 5.0, 0.0, 5.0), "metal"))
    points = set(zip(whole[::2], whole[1::2], strict=True))
    assert points == {(-x, y) for x, y in points}


@pytest.mark.parametrize("form", NUMBERS)
def test_a_label_points_at_the_shape_on_its_own_side(form: Form) -> None:
    right = centre(Solid("a", form, NUMBERS[form], "metal", both=True, label="right"))
    left = centre(Solid("a", form, NUMBERS[form], "metal", both=True, label="left"))
    assert left == (-right[0], right[1]) and right[0] > 0


def test_the_heading_names_all_that_is_marked() -> None:
    names = {"a": "seal", "b": "ring"}
    assert Section("Tap", "", names, ()).heading() == "Tap"
    marked = Section("Look here", "", names, (), marked=("a", "b"))
    assert marked.heading() == "Look here: 1 seal, 2 ring"
    assert marked.heading(numbered=False) == "Look here: seal, ring"
