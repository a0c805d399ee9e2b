"""What cards say of each other: each kind of contradiction made on purpose and found, with line.

Reaches knowledge.cross_checks.__init__ itself and knowledge.cross_checks.second_opinion.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from diagnose.errors import Problem
from diagnose.knowledge.cross_checks import find_problems
from diagnose.knowledge.loader import read_pack
from tests.kettle import GONE, PACK, write_kettle

BURNT = "kettle/causes/element_burnt.yaml"
COLD = "kettle/findings/stays_cold.yaml"
PACK_FILE = "kettle/pack.yaml"
OPINION = "kettle/second_opinion.yaml"
FLOORS = "kettle/floors.yaml"


def problems_of(folder: Path, changes: dict[str, Any]) -> list[Problem]:
    knowledge, lines, problems = read_pack(write_kettle(folder, changes), PACK)
    assert problems == []
    assert knowledge is not None
    return find_problems(knowledge, lines)


def test_the_pack_as_it_is_has_no_problem(tmp_path: Path) -> None:
    assert problems_of(tmp_path, {}) == []


@pytest.mark.parametrize(
    ("change", "value", "what", "hint"),
    [
        # ids that lead nowhere, with the nearest that do
        (f"{BURNT}:links", {"stays_colt": 0.9}, "no finding 'stays_colt'", "stays_cold"),
        (f"{BURNT}:links.stays_cold", {"tepid": 0.9}, "has no state 'tepid'", ""),
        (f"{BURNT}:cures", {"base_servise": 0.9}, "no stage 'base_servise'", "base_service"),
        (f"{BURNT}:cures", {}, "no stage cures this cause", "Name one"),
        (f"{BURNT}:system", "heatin", "no system 'heatin'", "heating"),
        (f"{BURNT}:hazards", ["scalding"], "no hazard 'scalding'", "scald"),
        (f"{BURNT}:needs", {"cordles": True}, "no feature 'cordles'", "cordless"),
        (f"{BURNT}:context", {"ages": {"new": 1.0}}, "no context 'ages'", "age"),
        (f"{BURNT}:context", {"age": {"newer": 1.0}}, "no band 'newer'", "new"),
        (f"{BURNT}:source", "invention", "no source 'invention'", "invented"),
        (f"{BURNT}:mistaken_for.0.cause", "limestone", "no cause 'limestone'", "limescale"),
        (
            f"{BURNT}:mistaken_for.0.settled_by",
            "bench_heats",
            "no check 'bench_heats'",
            "bench_heat",
        ),
        (f"{BURNT}:typical.0.answers", {"bench_hat": "hot"}, "no symptom or check", ""),
        (f"{BURNT}:typical.0.answers", {"bench_heat": "warm"}, "hot, lukewarm, cold", ""),
        (f"{BURNT}:near_miss.0.answers", {"look_drips": "wet"}, "dry, drips", ""),
        ("kettle/checks/bench_lid.yaml:observes", "lid_jam", "no finding 'lid_jam'", "lid_jammed"),
        ("kettle/hazards.yaml:hazards.0.acts", ["fild"], "no act 'fild'", "filled"),
        ("kettle/hazards.yaml:hazards.0.findings", ["drip"], "no finding 'drip'", "drips"),
        ("kettle/symptoms/said_drips.yaml:phrases", {"wet": ["x"]}, "no state 'wet'", ""),
        (f"{COLD}:applies_when", {"cord_less": True}, "no feature 'cord_less'", "cordless"),
        (f"{COLD}:leak", {"tepid": 0.1}, "has no state 'tepid'", ""),
        (
            "kettle/stages/descale.yaml:includes",
            ["advic"],
            "no stage 'advic'",
            "advice",
        ),
        ("kettle/hazards.yaml:hazards.0.cautions", ["hot_water_"], "no caution", "hot_water"),
        (f"{OPINION}:findings.stays_cold.usually", ["element"], "no cause 'element'", "_burnt"),
        (f"{FLOORS}:floors.1.finding", "lid_jam", "no finding 'lid_jam'", "lid_jammed"),
        (f"{FLOORS}:floors.1.at_least", "opens", "no ill state 'opens'", ""),
        (f"{FLOORS}:floors.1.lifted_by", ["bench_lit"], "no check 'bench_lit'", "bench_lid"),
        (f"{FLOORS}:floors.0.stage", "advise", "no stage 'advise'", "advice"),
        (f"{FLOORS}:floors.0.ride", "ride", "forbids nothing", "Say what stands"),
        (
            f"{FLOORS}:floors.1.lifted_by",
            GONE,
            "cleared at the bench only",
            "Name the bench checks",
        ),
        (f"{PACK_FILE}:look", ["look_cards"], "no check 'look_cards'", "look_cord"),
        (f"{PACK_FILE}:look_signs.0.state", "torn", "whole, bare", ""),
        (f"{PACK_FILE}:main_complaints.0.symptom", "said_cold", "no symptom or check", ""),
        (f"{PACK_FILE}:hearing.asked", 0.5, "less sure than what counts", "below 'counts'"),
        (f"{FLOORS}:floors.1.say", "steam", "no caution 'steam'", "steam_locked"),
        (f"{FLOORS}:floors.1.say", GONE, "said before any question", "Name it in 'say'"),
        # numbers that are none
        (f"{BURNT}:links.stays_cold", 1.0, "1.0 is no chance", ""),
        (f"{BURNT}:links.stays_cold", 0, "0.0 is no chance", ""),
        (f"{BURNT}:links.stays_cold", "offen", "'offen' is neither a number nor a word", ""),
        (f"{BURNT}:cures.base_service", 1.2, "1.2 is no chance", ""),
        (f"{COLD}:leak.cold", "seldom", "'seldom' is neither", ""),
        ("kettle/checks/bench_lid.yaml:reliability.hit", 1.0, "1.0 is no chance", ""),
        ("kettle/symptoms/said_drips.yaml:customer.grade", "good", "'good' is neither", ""),
        (f"{BURNT}:links.stays_cold", "0.9", "'0.9' is neither a number nor a word", ""),
        (f"{PACK_FILE}:scale.often", 1.5, "1.5 is no chance", ""),
        (f"{PACK_FILE}:features.cordless", 1.0, "1.0 is no share", ""),
        (f"{OPINION}:findings.stays_hot", {"usually": []}, "no 'stays_hot'", "stays_cold"),
        # a look-alike that is not settled by what is said to settle it
        (
            f"{BURNT}:mistaken_for.0.settled_by",
            "look_drips",
            "'look_drips' tells nothing between 'element_burnt' and 'limescale'",
            "only one of the two",
        ),
        (
            f"{BURNT}:links.stays_cold",
            {"lukewarm": 0.75, "cold": 0.09},
            "'bench_heat' tells nothing between 'element_burnt' and 'limescale'",
            "correct its links",
        ),
        # what contradicts itself
        (f"{BURNT}:links.stays_cold", {"lukewarm": 0.5, "cold": 0.9}, "likelier than a milder", ""),
        (f"{COLD}:leak", {"lukewarm": 0.01, "cold": 0.02}, "likelier than a milder state", ""),
        (
            f"{FLOORS}:floors.1.lifted_by",
            ["look_cord"],
            "cleared at the bench only",
            "Name the bench",
        ),
        (f"{PACK_FILE}:contexts.age.bands.0.share", 0.6, "add up to 1.1, not 1", ""),
        (f"{OPINION}:findings.drips", {"seldom": ["seal_perished"]}, "its card says 0.9", "wrong"),
        (f"{OPINION}:findings.drips", {}, "and it is not named", "mend card or row"),
        (f"{OPINION}:findings.cord.usually", ["lid_bent"], "stands there twice", "wrong"),
        (f"{OPINION}:rides.stop_riding", [], "the card of lid_bent says stop_riding", "wrong"),
        (f"{OPINION}:hazards.steam", ["limescale"], "and its card is silent", "wrong"),
    ],
)
def test_each_contradiction_is_found(
    tmp_path: Path, change: str, value: object, what: str, hint: str
) -> None:
    problems = problems_of(tmp_path, {change: value})
    found = [p for p in problems if what in p.what]
    assert found, [str(p) for p in problems]
    assert hint in found[0].next_step or hint in found[0].what
    assert found[0].file.endswith(change.partition(":")[0])


def test_a_problem_stands_on_its_own_line(tmp_path: Path) -> None:
    (problem,) = problems_of(tmp_path, {f"{BURNT}:cures": {"descale": 0.5, "base_servise": 0.9}})
    rows = (tmp_path / "knowledge" / BURNT).read_text("utf-8").splitlines()
    assert "base_servise" in rows[problem.line - 1]


def test_an_id_names_one_card_of_whatever_kind(tmp_path: Path) -> None:
    card = "id: drips\nname: x\nplain: x\nrank: 1\nminutes: 1\nparts: 0\nsteps: [{do: x}]\n"
    problems = problems_of(tmp_path, {"kettle/stages/drips.yaml": card + "source: invented\n"})
    assert [p.what for p in problems] == ["'drips' is an id in findings too."]


@pytest.mark.parametrize(
    "answers",
    [
        [{"state": "dry", "text": "a"}, {"state": "dry", "text": "b"}],
        [{"state": "dry", "text": "a"}, {"state": "wet", "text": "b"}],
    ],
)
def test_a_question_offers_each_state_once(tmp_path: Path, answers: list[dict[str, str]]) -> None:
    problems = problems_of(tmp_path, {"kettle/checks/bench_leak.yaml:answers": answers})
    assert [p.what for p in problems] == ["the answers must be the states dry, drips, each once."]


def test_a_reading_tells_every_state_apart(tmp_path: Path) -> None:
    reading = {"quantity": "sag", "states": {"dry": {"mean": 1, "sd": 1}}}
    problems = problems_of(tmp_path, {"kettle/checks/bench_leak.yaml:reading": reading})
    assert "a distribution for each state" in problems[0].what


def test_a_cause_and_its_finding_need_the_same_features(tmp_path: Path) -> None:
    """The seal is missing where there is no cord; a finding of the cordless says nothing of it."""
    problems = problems_of(
        tmp_path, {"kettle/findings/drips.yaml:applies_when": {"cordless": True}}
    )
    assert [p.what for p in problems] == ["'drips' never applies where this cause can be."]
    assert problems[0].file.endswith("seal_perished.yaml")


def test_a_source_of_one_number_must_exist_too(tmp_path: Path) -> None:
    sourced = {"stays_cold": {"value": 0.9, "source": "rumour"}}
    problems = problems_of(tmp_path, {f"{BURNT}:links": sourced})
    assert [p.what for p in problems] == ["no source 'rumour'."]


def test_all_contradictions_are_told_at_once(tmp_path: Path) -> None:
    problems = problems_of(
        tmp_path,
        {f"{BURNT}:system": "x", f"{COLD}:leak": {"tepid": 0.1}, f"{PACK_FILE}:look": ["y"]},
    )
    assert len({p.file for p in problems}) == 3
