"""Pictures of the graph: well-formed, no box over another, nothing outside, no word lost."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from xml.etree import ElementTree

import networkx as nx
import pytest

from diagnose.symptom_graph.drawing import around, draw, group_part
from diagnose.symptom_graph.export import graph
from tests.real_pack import shop_knowledge as knowledge

SVG = "{http://www.w3.org/2000/svg}"


@cache
def net() -> nx.DiGraph:
    return graph(knowledge())


GROUPS = sorted({finding.group for finding in knowledge().findings.values()})


def boxes(drawn: ElementTree.Element) -> list[tuple[float, float, float, float]]:
    return [
        tuple(float(rect.attrib[key]) for key in ("x", "y", "width", "height"))  # type: ignore[misc]
        for rect in drawn.iter(f"{SVG}rect")
    ]


@pytest.mark.parametrize("group", GROUPS)
def test_a_group_is_drawn_without_overlap(group: str) -> None:
    part = group_part(net(), group)
    drawn = ElementTree.fromstring(draw(part, "t", "d", width=736))
    width, height = (float(drawn.attrib[key]) for key in ("width", "height"))
    found = boxes(drawn)
    assert len(found) == len(part)
    assert len(list(drawn.iter(f"{SVG}path"))) == part.number_of_edges()
    for x, y, wide, tall in found:
        assert x >= 0 and y >= 0 and x + wide <= width and y + tall <= height
    for (x0, y0, w0, h0), (x1, y1, w1, h1) in combinations(found, 2):
        assert x0 + w0 <= x1 or x1 + w1 <= x0 or y0 + h0 <= y1 or y1 + h1 <= y0


@pytest.mark.parametrize("group", GROUPS)
def test_a_group_has_all_its_findings_and_witnesses(group: str) -> None:
    part = group_part(net(), group)
    findings = [f.id for f in knowledge().findings.values() if f.group == group]
    for finding in findings:
        assert set(net().predecessors(finding)) <= set(part)
        # Each finding that has causes shows its strongest one at least.
        assert bool(list(part.successors(finding))) == bool(list(net().successors(finding)))
    for cause in (ident for ident in part if part.nodes[ident]["kind"] == "cause"):
        assert part.out_degree(cause) == 1


def test_every_word_of_a_name_is_drawn_and_escaped() -> None:
    part = nx.DiGraph()
    part.add_node("a", kind="finding", name="oil & <water> on the very long slider of this shock")
    part.add_node("b", kind="cause", name="a cause\x1b")
    part.add_edge("a", "b", chance=0.5)
    text = draw(part, "a < b", "d", width=300, page_of=lambda i: f"{i}.html?a&b", note_of=str.upper)
    drawn = ElementTree.fromstring(text)
    said = " ".join("".join(line.itertext()) for line in drawn.iter(f"{SVG}text"))
    assert said == "oil & <water> on the very long slider of this shock A a cause B"
    links = [link.attrib["href"] for link in drawn.iter(f"{SVG}a")]
    assert links == ["a.html?a&b", "b.html?a&b"]
    assert "\x1b" not in text


def test_around_a_finding_are_its_witnesses_and_strongest_causes() -> None:
    finding = max(knowledge().findings, key=net().out_degree)
    part = around(net(), finding, most=5)
    kept = list(part.successors(finding))
    weakest = min(net()[finding][cause]["chance"] for cause in kept)
    left_out = set(net().successors(finding)) - set(kept)
    assert len(kept) == 5
    assert all(net()[finding][cause]["chance"] <= weakest for cause in left_out)
    assert set(part.predecessors(finding)) == set(net().predecessors(finding))


def test_causes_of_one_finding_stand_in_order_of_strength() -> None:
    finding = max(knowledge().findings, key=net().out_degree)
    part = around(net(), finding)
    drawn = ElementTree.fromstring(
        draw(part, "t", "d", page_of=lambda ident: ident, note_of=lambda ident: "")
    )
    order = [
        link.attrib["href"]
        for link in sorted(drawn.iter(f"{SVG}a"), key=lambda link: float(link[0].attrib["y"]))
        if part.nodes[link.attrib["href"]]["kind"] == "cause"
    ]
    chances = [net()[finding][cause]["chance"] for cause in order]
    assert chances == sorted(chances, reverse=True)


def test_meaning_does_not_rest_on_colour_alone() -> None:
    shapes = set()
    for kind in ("symptom", "check", "finding", "cause", "stage"):
        part = nx.DiGraph()
        part.add_node("a", kind=kind, name="n")
        rect = next(ElementTree.fromstring(draw(part, "t", "d")).iter(f"{SVG}rect"))
        look = ("rx", "stroke-dasharray", "stroke-width")
        shapes.add(tuple(rect.attrib.get(key, "") for key in look))
    assert len(shapes) == 5
