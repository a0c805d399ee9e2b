"""The knowledge as one graph, for other programs and for pictures.

Rules
-----
- Arrows run the way the reasoning runs: symptoms and checks, findings, causes, stages.
- Every card of these kinds is a node and every number between two of them an arrow; what is left
  out of a picture is the picture's affair.
- The same knowledge gives the same bytes.
"""

from __future__ import annotations

import json
from typing import Any

import networkx as nx

from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Chance, rate_at

__all__ = ["LAYERS", "graph", "link_strength", "to_dot", "to_json"]

#: kinds of node in the order of the arrows
LAYERS = {"symptom": 0, "check": 0, "finding": 1, "cause": 2, "stage": 3}

# Told apart by shape, because a printed graph has no colours.
_SHAPES = {
    "symptom": "note",
    "check": "component",
    "finding": "ellipse",
    "cause": "box",
    "stage": "hexagon",
}


def link_strength(knowledge: Knowledge, chance: Chance | dict[str, Chance]) -> float:
    """Chance that a cause alone brings a finding about at all: that of its mildest state."""
    if isinstance(chance, dict):
        return max(knowledge.chance(value) for value in chance.values())
    return knowledge.chance(chance)


def graph(knowledge: Knowledge) -> nx.DiGraph:
    """All symptoms, checks, findings, causes and stages with the arrows between them.

    Returns
    -------
    A graph whose nodes are ids with ``kind`` and ``name``; findings have ``group`` and ``states``,
    causes ``system`` and ``per_1000`` (at the counter). Arrows have ``chance``: of a true report
    (witness to finding), of the finding from this cause alone (finding to cause, with ``states``
    where graded), of a cure (cause to stage).
    """
    net = nx.DiGraph(pack=knowledge.pack.id, fingerprint=knowledge.fingerprint)
    for finding in knowledge.findings.values():
        net.add_node(
            finding.id,
            kind="finding",
            name=finding.name,
            group=finding.group,
            states=list(finding.states),
        )
    for stage in knowledge.stages.values():
        net.add_node(stage.id, kind="stage", name=stage.name)
    for symptom in knowledge.symptoms.values():
        net.add_node(symptom.id, kind="symptom", name=symptom.name)
        hit = knowledge.chance(symptom.customer.hit)
        net.add_edge(symptom.id, symptom.observes, chance=hit)
    for check in knowledge.checks.values():
        net.add_node(check.id, kind="check", name=check.name, at=check.at)
        for told in check.findings:
            net.add_edge(check.id, told, chance=knowledge.chance(check.reliability.hit))
    for cause in knowledge.causes.values():
        rate = rate_at(cause.per_1000, "counter")
        net.add_node(cause.id, kind="cause", name=cause.name, system=cause.system, per_1000=rate)
        for finding_id, chance in cause.links.items():
            graded = (
                {"states": {state: knowledge.chance(value) for state, value in chance.items()}}
                if isinstance(chance, dict)
                else {}
            )
            strength = link_strength(knowledge, chance)
            net.add_edge(finding_id, cause.id, chance=strength, **graded)
        for stage_id, chance in cause.cures.items():
            net.add_edge(cause.id, stage_id, chance=knowledge.chance(chance))
    return net


def to_json(net: nx.DiGraph) -> str:
    """The graph as JSON text: ``nodes`` and ``links`` with ``source`` and ``target``, sorted."""
    nodes: list[dict[str, Any]] = [{"id": ident, **net.nodes[ident]} for ident in sorted(net)]
    links: list[dict[str, Any]] = [
        {"source": start, "target": end, **values}
        for start, end, values in sorted(net.edges(data=True), key=lambda edge: edge[:2])
    ]
    content = {**net.graph, "directed": True, "nodes": nodes, "links": links}
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"


def to_dot(net: nx.DiGraph) -> str:
    """The graph in the DOT language, one rank for each kind; arrows are as thick as sure."""
    lines = ["digraph knowledge {", "  rankdir=LR;", '  node [fontname="sans-serif"];']
    for ident in sorted(net):
        values = net.nodes[ident]
        shape = _SHAPES[values["kind"]]
        lines.append(f"  {_quoted(ident)} [label={_quoted(values['name'])}, shape={shape}];")
    for layer in sorted(set(LAYERS.values())):
        members = [ident for ident in sorted(net) if LAYERS[net.nodes[ident]["kind"]] == layer]
        lines.append(f"  {{ rank=same; {'; '.join(map(_quoted, members))} }}")
    for start, end, values in sorted(net.edges(data=True), key=lambda edge: edge[:2]):
        chance = values["chance"]
        lines.append(
            f"  {_quoted(start)} -> {_quoted(end)} "
            f'[label="{chance:g}", penwidth={0.5 + 2.5 * chance:.2g}];'
        )
    return "\n".join([*lines, "}"]) + "\n"


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", " ")
    return f'"{escaped}"'
