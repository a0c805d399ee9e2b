"""Layered pictures of parts of the graph as SVG.

Rules
-----
- Columns are the layers, left to right; in a column each box stands near its neighbours, so that
  few arrows cross.
- A box is words in a frame, and a link if the caller knows a page for it. Frames differ by kind
  in dash and corner, not in colour alone.
"""

from __future__ import annotations

import textwrap
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

import networkx as nx

from diagnose.symptom_graph.export import LAYERS

__all__ = ["around", "draw", "group_part"]

# of the drawing's own units, tried by eye: a line of text, the room in and between boxes, a sign
_LINE = 13.0
_PAD = 5.0
_GAP = 7.0
_SIGN_WIDTH = 5.7  # of the 11 px sans-serif, on the wide side so that no word leaves its box

#: kind -> (frame attributes, corner radius)
_FRAMES = {
    "symptom": ('stroke="#6b5b2e" fill="#fbf6e6" stroke-dasharray="5 2"', 9),
    "check": ('stroke="#6b5b2e" fill="#fbf6e6"', 9),
    "finding": ('stroke="#0d5160" fill="#e7f1f2" stroke-width="2"', 3),
    "cause": ('stroke="#1d2733" fill="#ffffff"', 0),
    "stage": ('stroke="#1d2733" fill="#ececec" stroke-width="2"', 0),
}


@dataclass(frozen=True)
class _Box:
    x: float
    y: float
    width: float
    height: float
    lines: tuple[str, ...]


def group_part(net: nx.DiGraph, group: str, least: float = 0.75) -> nx.DiGraph:
    """The part of the graph about one group of findings, thinned to what a picture can bear.

    Kept are the witnesses of the findings, each finding's links of at least ``least`` and in any
    case its strongest one, and each cause's likeliest cure.
    """
    findings = [ident for ident in net if net.nodes[ident].get("group") == group]
    edges = []
    for finding in findings:
        edges += [(witness, finding) for witness in net.predecessors(finding)]
        causes = sorted(net.successors(finding), key=lambda to: -net[finding][to]["chance"])
        kept = [to for to in causes if net[finding][to]["chance"] >= least] or causes[:1]
        edges += [(finding, cause) for cause in kept]
    causes_kept = dict.fromkeys(end for _, end in edges if net.nodes[end]["kind"] == "cause")
    edges += [(cause, _best_cure(net, cause)) for cause in causes_kept]
    part = nx.DiGraph()
    part.add_nodes_from((ident, net.nodes[ident]) for ident in findings)
    for start, end in edges:
        part.add_nodes_from((ident, net.nodes[ident]) for ident in (start, end))
        part.add_edge(start, end, **net[start][end])
    return part


def around(net: nx.DiGraph, finding: str, most: int = 12) -> nx.DiGraph:
    """One finding with its witnesses and its ``most`` strongest causes."""
    causes = sorted(net.successors(finding), key=lambda to: (-net[finding][to]["chance"], to))
    keep = [finding, *net.predecessors(finding), *causes[:most]]
    part = nx.DiGraph()
    part.add_nodes_from((ident, net.nodes[ident]) for ident in keep)
    part.add_edges_from(
        (start, end, values)
        for start, end, values in net.edges(keep, data=True)
        if finding in (start, end) and end in part
    )
    return part


def draw(
    part: nx.DiGraph,
    title: str,
    description: str,
    *,
    width: float = 960.0,
    page_of: Callable[[str], str] = lambda ident: "",
    note_of: Callable[[str], str] = lambda ident: "",
) -> str:
    """SVG element of a part of the graph.

    Parameters
    ----------
    part : nodes with ``kind`` and ``name``, arrows with ``chance``.
    title, description : what it is, and what it says to someone who cannot see it.
    width : in pixels; the height follows from the fullest column.
    page_of : node -> address of its page, or nothing.
    note_of : node -> short words under its name, or nothing.
    """
    columns = _columns(part)
    boxes, height = _place(part, columns, width, note_of)
    ident = f"g{zlib.crc32((title + description).encode()):08x}"
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" '
        f'width="{width:.0f}" height="{height:.0f}" role="img" '
        f'aria-labelledby="{ident}t {ident}d" font-family="sans-serif" font-size="11">',
        f'<title id="{ident}t">{escape(title)}</title>',
        f'<desc id="{ident}d">{escape(description)}</desc>',
    ]
    out += [
        _arrow(boxes[start], boxes[end], values["chance"])
        for start, end, values in part.edges(data=True)
    ]
    for node, box in boxes.items():
        drawn = _box(box, part.nodes[node]["kind"])
        page = page_of(node)
        out.append(f'<a href="{escape(page)}">{drawn}</a>' if page else drawn)
    return "\n".join([*out, "</svg>"])


def _best_cure(net: nx.DiGraph, cause: str) -> str:
    return str(min(net.successors(cause), key=lambda to: (-net[cause][to]["chance"], to)))


def _columns(part: nx.DiGraph) -> list[list[str]]:
    """Nodes of each layer that is not empty, in an order with few crossings, else as they came."""
    layers: dict[int, list[str]] = {}
    for node in part:
        layers.setdefault(LAYERS[part.nodes[node]["kind"]], []).append(node)
    columns = [layers[key] for key in sorted(layers)]
    # Sorting by the mean place of the neighbours, to and fro, soon settles.
    for turn in range(8):
        place = {node: row / len(column) for column in columns for row, node in enumerate(column)}
        order = columns if turn % 2 else columns[::-1]
        for column in order:
            mean = {node: _mean_place(part, node, place) for node in column}
            column.sort(key=mean.__getitem__)
            place |= {node: row / len(column) for row, node in enumerate(column)}
    return columns


def _mean_place(part: nx.DiGraph, node: str, place: Mapping[str, float]) -> float:
    near = [place[other] for other in (*part.predecessors(node), *part.successors(node))]
    return sum(near) / len(near) if near else place[node]


def _place(
    part: nx.DiGraph, columns: Sequence[Sequence[str]], width: float, note_of: Callable[[str], str]
) -> tuple[dict[str, _Box], float]:
    """Boxes of all nodes, each column spread over the height of the fullest one."""
    lane = width / (len(columns) + 0.28 * (len(columns) - 1))
    rows: dict[str, tuple[str, ...]] = {}
    for node in part:
        name = "".join(sign if sign.isprintable() else " " for sign in part.nodes[node]["name"])
        lines = textwrap.wrap(name, int((lane - 2 * _PAD) / _SIGN_WIDTH))
        note = note_of(node)
        rows[node] = (*lines, *([note] if note else []))
    tall = {node: len(lines) * _LINE + 2 * _PAD for node, lines in rows.items()}
    full = [sum(tall[node] + _GAP for node in column) for column in columns]
    height = max(full) + _GAP
    boxes: dict[str, _Box] = {}
    for index, (column, used) in enumerate(zip(columns, full, strict=True)):
        spare = (height - _GAP - used) / len(column)
        y = _GAP + spare / 2
        for node in column:
            boxes[node] = _Box(index * lane * 1.28 + 1, y, lane - 2, tall[node], rows[node])
            y += tall[node] + _GAP + spare
    return boxes, height


def _arrow(start: _Box, end: _Box, chance: float) -> str:
    x0, y0 = start.x + start.width, start.y + start.height / 2
    x1, y1 = end.x, end.y + end.height / 2
    middle = (x0 + x1) / 2
    thick = 0.6 + 2.4 * chance
    return (
        f'<path d="M{x0:.1f},{y0:.1f}C{middle:.1f},{y0:.1f} {middle:.1f},{y1:.1f} '
        f'{x1:.1f},{y1:.1f}" fill="none" stroke="#53626f" stroke-opacity="0.7" '
        f'stroke-width="{thick:.1f}"/>'
    )


def _box(box: _Box, kind: str) -> str:
    frame, corner = _FRAMES[kind]
    out = [
        f'<rect x="{box.x:.1f}" y="{box.y:.1f}" width="{box.width:.1f}" '
        f'height="{box.height:.1f}" rx="{corner}" {frame}/>'
    ]
    for row, line in enumerate(box.lines):
        y = box.y + _PAD + (row + 0.8) * _LINE
        out.append(f'<text x="{box.x + _PAD:.1f}" y="{y:.1f}" fill="#1d2733">{escape(line)}</text>')
    return "".join(out)
