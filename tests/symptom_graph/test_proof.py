"""The proof finds nothing in the knowledge as it is, and finds what is taken out of it."""

from __future__ import annotations

import networkx as nx
import pytest

from diagnose.knowledge.loader import Knowledge
from diagnose.symptom_graph.proof import demanded, prove, route_graph
from diagnose.symptom_graph.routes import all_deeds
from tests.real_pack import shop_knowledge

DEMANDS, KEYED = shop_knowledge().device.demands, set(shop_knowledge().device.keyed)


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return shop_knowledge()


@pytest.fixture(scope="module")
def net(knowledge: Knowledge) -> nx.DiGraph:
    return route_graph(knowledge)


def changed_hazard(knowledge: Knowledge, ident: str, **changes: object) -> Knowledge:
    hazards = {**knowledge.hazards, ident: knowledge.hazards[ident].model_copy(update=changes)}
    return knowledge.model_copy(update={"hazards": hazards})


def test_no_route_from_any_complaint_goes_round_its_cautions(
    knowledge: Knowledge, net: nx.DiGraph
) -> None:
    proof = prove(knowledge, net)
    assert [str(u) for u in proof.unguarded] == []
    assert proof.routes == len(knowledge.symptoms) * proof.deeds


def test_every_deed_is_reached_so_that_the_proof_is_not_of_nothing(
    knowledge: Knowledge, net: nx.DiGraph
) -> None:
    done = {data["deed"].ident for _, data in net.nodes(data=True) if "deed" in data}
    assert {deed.ident for deed in all_deeds(knowledge)} == done


def test_every_keyed_hazard_is_met_and_waited_for(net: nx.DiGraph) -> None:
    keys = {key for _, data in net.nodes(data=True) for key in data.get("keys", ())}
    assert keys == KEYED


@pytest.mark.parametrize("hazard", sorted(KEYED))
def test_a_hazard_that_does_not_wait_is_reported_with_its_route(
    knowledge: Knowledge, hazard: str
) -> None:
    found = prove(changed_hazard(knowledge, hazard, acknowledge=False)).unguarded
    mine = [u for u in found if hazard in u.what]
    assert mine
    assert all(u.route[0].startswith("complaint ") and u.route[-1].startswith("do ") for u in mine)
    assert len(mine[0].route) <= min(len(u.route) for u in mine)


def test_an_act_taken_off_its_hazard_is_reported(knowledge: Knowledge) -> None:
    acts = [act for act in knowledge.hazards["air_pressure"].acts if act != "gauged"]
    found = prove(changed_hazard(knowledge, "air_pressure", acts=acts)).unguarded
    gauged = {deed.ident for deed in all_deeds(knowledge) if "gauged" in deed.acts}
    assert gauged and {u.deed for u in found} == gauged


def test_a_core_that_comes_out_before_the_air_is_proved_gone_is_reported(
    knowledge: Knowledge,
) -> None:
    card = knowledge.checks["bench_core"]
    blind = card.model_copy(update={"does": [a for a in card.does if a != "air_proved_empty"]})
    found = prove(knowledge.model_copy(update={"checks": {**knowledge.checks, card.id: blind}}))
    assert {(u.deed, u.what) for u in found.unguarded} == {
        ("bench_core", "a proof that 'air' is empty")
    }


def test_a_sheet_that_takes_silence_for_proof_is_reported(knowledge: Knowledge) -> None:
    stage = knowledge.stages["air_can_service"]
    steps = [
        step.model_copy(update={"marks": [m for m in step.marks if m != "air_proved_empty"]})
        for step in stage.steps
    ]
    card = stage.model_copy(update={"steps": steps})
    found = prove(knowledge.model_copy(update={"stages": {**knowledge.stages, card.id: card}}))
    assert {u.what for u in found.unguarded} == {"a proof that 'air' is empty"}
    assert found.unguarded[0].route[0].startswith("complaint ")


def test_notes_taken_out_of_a_sheet_leave_no_route_to_its_opening(knowledge: Knowledge) -> None:
    stage = knowledge.stages["air_can_service"]
    steps = [s.model_copy(update={"marks": []}) if n == 1 else s for n, s in enumerate(stage.steps)]
    card = stage.model_copy(update={"steps": steps})
    net = route_graph(knowledge.model_copy(update={"stages": {**knowledge.stages, card.id: card}}))
    done = {data["deed"].ident for _, data in net.nodes(data=True) if "deed" in data}
    assert "step:air_can_service:4" in done
    assert "step:air_can_service:5" not in done


def test_the_looks_in_the_middle_of_a_sheet_are_routes_too(knowledge: Knowledge) -> None:
    net = route_graph(knowledge)
    inside = {
        node[1]
        for node, data in net.nodes(data=True)
        if "deed" in data and not data["deed"].stage and node[2].place.startswith("step:")
    }
    assert "bench_top_out_can_off" in inside
    assert all(knowledge.device.may_lie_open(knowledge.checks[c].does) for c in inside)


def test_demands_follow_from_the_deed_and_the_state(knowledge: Knowledge) -> None:
    deed = next(d for d in all_deeds(knowledge) if d.ident == "bench_core")
    full = dict.fromkeys(("air", "negative", "charge"), True)
    assert set(DEMANDS["vented"]) <= set(demanded(knowledge, deed, full))
    assert "air_pressure" not in demanded(knowledge, deed, {**full, "air": False})


def test_the_second_opinion_knows_every_act_that_a_hazard_names(knowledge: Knowledge) -> None:
    named = {act for hazard in knowledge.hazards.values() for act in hazard.acts}
    assert named == set(DEMANDS)
