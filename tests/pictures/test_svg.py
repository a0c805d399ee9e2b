"""SVG: well formed, named, escaped, the same every time."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

from hypothesis import given
from hypothesis import strategies as st

from diagnose.pictures.chart import Chart
from diagnose.pictures.svg import chart_svg

SVG = "{http://www.w3.org/2000/svg}"
# What XML can carry at all.
TEXT = st.text(
    st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters="\ufffe\uffff"),
    max_size=20,
)
LINES = st.lists(
    st.tuples(
        TEXT,
        st.lists(st.tuples(st.floats(0, 1e3), st.floats(0, 1)), min_size=1, max_size=15).map(tuple),
    ),
    min_size=1,
    max_size=6,
)
PRESSURE = Chart(
    "Pressure",
    "It falls.",
    "time [h]",
    "gauge [psi]",
    (("gauge", ((0.0, 165.0), (14.0, 128.0))),),
    ((0.0, 164.0, 166.0), (14.0, 148.0, 155.0)),
    "explained",
)


@given(TEXT, LINES)
def test_any_text_gives_a_well_formed_picture(
    title: str, lines: list[tuple[str, tuple[tuple[float, float], ...]]]
) -> None:
    root = ElementTree.fromstring(chart_svg(Chart(title, "d", title, title, tuple(lines))))
    assert root.findtext(f"{SVG}title") == title or not title.strip()
    assert len(root.findall(f"{SVG}polyline")) == len(lines)


def test_a_reader_that_cannot_see_it_gets_title_and_description() -> None:
    root = ElementTree.fromstring(chart_svg(PRESSURE))
    assert root.get("role") == "img"
    named = (root.get("aria-labelledby") or "").split()
    texts = [entry.text for name in named for entry in root if entry.get("id") == name]
    assert texts == ["Pressure", "It falls."]


def test_two_pictures_of_a_page_do_not_share_ids() -> None:
    other = Chart("Pressure", "It holds.", "x", "y", PRESSURE.series)
    ids = [
        entry.get("id")
        for text in (chart_svg(PRESSURE), chart_svg(other))
        for entry in ElementTree.fromstring(text)
        if entry.get("id")
    ]
    assert len(ids) == len(set(ids)) == 4


def test_markup_in_a_label_stays_text() -> None:
    line = ('<b>&"', ((0.0, 1.0),))
    text = chart_svg(Chart("<script>", "d", "<i>", "y", (line,)))
    assert "<script>" not in text and "<b>" not in text and "<i>" not in text


def test_lines_differ_without_colour() -> None:
    lines = [(str(index), ((0.0, float(index)), (1.0, 2.0))) for index in range(5)]
    root = ElementTree.fromstring(chart_svg(Chart("t", "d", "x", "y", tuple(lines))))
    dashes = [entry.get("stroke-dasharray") for entry in root.findall(f"{SVG}polyline")]
    assert len(set(dashes)) == 5


def test_band_and_key_are_drawn() -> None:
    root = ElementTree.fromstring(chart_svg(PRESSURE))
    assert len(root.findall(f"{SVG}polygon")) == 1
    texts = [entry.text for entry in root.findall(f"{SVG}text")]
    assert {"explained", "gauge", "time [h]", "gauge [psi]"} <= set(texts)


def test_the_same_chart_gives_the_same_bytes() -> None:
    assert chart_svg(PRESSURE) == chart_svg(PRESSURE)
