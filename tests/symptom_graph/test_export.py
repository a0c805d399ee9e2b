"""The exported graph says what the cards say, no more and no less."""

from __future__ import annotations

import json
import re

import networkx as nx

from diagnose.symptom_graph.export import LAYERS, graph, link_strength, to_dot, to_json
from tests.real_pack import shop_knowledge as knowledge


def test_every_card_is_a_node_and_every_link_an_arrow() -> None:
    cards, net = knowledge(), graph(knowledge())
    kinds = (cards.findings, cards.causes, cards.symptoms, cards.checks, cards.stages)
    assert set(net) == {ident for kind in kinds for ident in kind}
    arrows = len(cards.symptoms) + sum(len(check.findings) for check in cards.checks.values())
    arrows += sum(len(cause.links) + len(cause.cures) for cause in cards.causes.values())
    assert net.number_of_edges() == arrows


def test_arrows_lead_one_layer_on() -> None:
    net = graph(knowledge())
    for start, end in net.edges:
        assert LAYERS[net.nodes[end]["kind"]] == LAYERS[net.nodes[start]["kind"]] + 1
    assert nx.is_directed_acyclic_graph(net)


def test_the_strength_of_a_graded_link_is_that_of_its_mildest_state() -> None:
    # P(at least slow) = 0.88 includes P(at least quick) = 0.4.
    assert link_strength(knowledge(), {"slow": 0.88, "overnight": 0.7, "quick": 0.4}) == 0.88
    assert link_strength(knowledge(), "usually") == knowledge().pack.scale["usually"]


def test_json_can_be_read_back_to_the_same_graph() -> None:
    net = graph(knowledge())
    data = json.loads(to_json(net))
    back = nx.node_link_graph({**data, "multigraph": False}, edges="links")
    assert set(back) == set(net)
    assert dict(back.edges) == dict(net.edges)
    assert data["fingerprint"] == knowledge().fingerprint


def test_dot_has_each_node_and_arrow_once_and_is_quoted() -> None:
    net = nx.DiGraph()
    net.add_node("a", kind="finding", name='oil "film" \\ drops')
    net.add_node("b", kind="cause", name="b")
    net.add_edge("a", "b", chance=0.5)
    text = to_dot(net)
    assert r'"a" [label="oil \"film\" \\ drops", shape=ellipse];' in text
    assert text.count("->") == 1
    whole = to_dot(graph(knowledge()))
    assert len(re.findall(r"\[label=.*shape=", whole)) == len(graph(knowledge()))
    assert whole.count("{") == whole.count("}")


def test_the_same_knowledge_gives_the_same_bytes() -> None:
    assert to_json(graph(knowledge())) == to_json(graph(knowledge()))
    assert to_dot(graph(knowledge())) == to_dot(graph(knowledge()))
