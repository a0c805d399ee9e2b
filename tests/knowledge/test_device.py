"""A device in its own words: what they do to its chambers, and every word that leads nowhere.

Reaches knowledge.card and knowledge.cross_checks.device.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.cross_checks import find_problems
from diagnose.knowledge.device import ANYTHING
from diagnose.knowledge.loader import read_pack
from diagnose.symptom_graph.proof import prove
from diagnose.symptom_graph.sheets import sheet_problems
from tests.kettle import GONE, PACK, kettle, write_kettle
from tests.real_pack import shop_knowledge

DEVICE = shop_knowledge().device
WORDS = sorted({*DEVICE.events, *DEVICE.acts, *DEVICE.marks})
FILE = "kettle/device.yaml"


@given(st.lists(st.sampled_from(WORDS), max_size=8))
def test_a_chamber_is_empty_only_after_a_proof_that_nothing_filled_again(words: list[str]) -> None:
    for chamber, holds in DEVICE.after_all(words).items():
        said = [DEVICE.events.get(word) or DEVICE.marks.get(word) for word in words]
        told = [chamber in done.fills for done in said if done is not None
                and chamber in [*done.fills, *done.empties]]  # fmt: skip
        assert holds == (told[-1] if told else True)


@given(st.lists(st.sampled_from(WORDS), max_size=8))
def test_where_nobody_knows_what_happened_every_chamber_may_hold_pressure(words: list[str]) -> None:
    assert DEVICE.after_all([*words, ANYTHING]) == DEVICE.all_full()


def test_what_only_meets_a_hazard_is_not_kept_with_a_job() -> None:
    assert not DEVICE.kept & DEVICE.acts.keys()
    assert DEVICE.effects(["touched", "vented", "can_off"]) == ("vented", "can_off")


def test_what_lies_open_is_only_looked_at() -> None:
    assert DEVICE.may_lie_open([]) and DEVICE.may_lie_open(["cleaned", "pushed_in"])
    for word in ("loaded", "gauged", "leak_sought", "vented", "air_proved_empty"):
        assert not DEVICE.may_lie_open(["cleaned", word]), word


def test_a_condition_holds_until_it_is_spoiled(tmp_path: Path) -> None:
    conditions = {
        "full": {"says": "it is empty", "made_by": ["filled"], "spoiled_by": ["poured"]},
        "as_it_came": {"says": "it was turned", "spoiled_by": ["turned", "filled"]},
    }
    device = kettle(tmp_path, {f"{FILE}:conditions": conditions}).device

    def unmet(*happened: str) -> list[str]:
        return [condition.says for condition in device.unmet(conditions, happened)]

    assert unmet() == ["it is empty"]
    assert unmet("filled") == ["it was turned"]
    assert unmet("filled", "poured") == unmet("turned") == ["it is empty", "it was turned"]
    assert unmet("poured", "filled") == ["it was turned"]
    assert unmet("filled", ANYTHING) == ["it is empty", "it was turned"]
    assert device.unmet([], [ANYTHING]) == []
    assert device.spoils(["poured", "boiled", "turned"]) == {"full", "as_it_came"}


def test_a_right_is_the_one_that_a_mark_names() -> None:
    assert DEVICE.right_for(["vented", "air_released"]) == "air_side"
    assert DEVICE.right_for(["charged"]) == "charge"


def test_a_device_of_other_chambers_is_proved_in_its_own_words(tmp_path: Path) -> None:
    sound = kettle(tmp_path / "sound")
    proof = prove(sound)
    assert proof.deeds > len(sound.checks) and proof.unguarded == ()
    assert sheet_problems(sound) == []
    blind = kettle(tmp_path / "blind", {f"{FILE}:chambers.0.opened_by": ["unscrewed"]})
    assert {u.what for u in prove(blind).unguarded} == {"a proof that 'boiler' is empty"}
    silent = kettle(tmp_path / "silent", {"kettle/hazards.yaml:hazards.0.acts": ["touched"]})
    assert {u.deed for u in prove(silent).unguarded} == {"bench_heat"}
    early = kettle(tmp_path / "early", {"kettle/stages/base_service.yaml:steps.0.marks": []})
    assert any("nothing is written down" in p.what for p in sheet_problems(early))


@pytest.mark.parametrize(
    ("change", "value", "what"),
    [
        ("chambers.0.opened_by", ["unscrewd"], "no event, act or mark 'unscrewd'"),
        ("chambers.0.sheet_mark", "lid_of", "no mark 'lid_of'"),
        ("events.filled.fills", ["boyler"], "no chamber 'boyler'"),
        ("marks.lid_open.empties", ["steam"], "no chamber 'steam'"),
        ("marks.lid_open.implies", ["dry"], "no mark 'dry'"),
        ("marks.lid_open.inside", "base", "no chamber 'base'"),
        ("marks.lid_open.right", "electrik", "no right 'electrik'"),
        ("marks.lid_open.asks", ["litre"], "no sheet value 'litre'"),
        ("marks.written_down", GONE, "there is no 'written_down'"),
        ("marks.can_close_again.how", GONE, "does not say what to do"),
        ("order.0.then", "closed", "no mark 'closed'"),
        ("demands.filled", ["scold"], "no hazard 'scold'"),
        ("demands.touched", GONE, "'touched' meets a hazard and demands none"),
        ("keyed", ["scold"], "no hazard 'scold'"),
        ("load_hazard", "scold", "no hazard 'scold'"),
        ("stages.shut", "leave_it", "no stage 'leave_it'"),
        ("step_right", "electrik", "no right 'electrik'"),
        ("fields.age_years.kind", "agee", "no kind 'agee'"),
        ("fields.age_years.kind", "text", "the one free text is 'history'"),
        ("named_by", ["liters"], "no field 'liters'"),
        ("events.unscrewed.lets_out", False, "takes no barrier away"),
        ("chambers.1.traps", False, "pressure can be trapped in none of them"),
        ("acts.carried.posts", False, "none posts or hands it on"),
        ("acts.filled", {"says": "x"}, "'filled' stands in events too"),
    ],
)
def test_a_word_that_leads_nowhere_is_told_with_its_file(
    tmp_path: Path, change: str, value: Any, what: str
) -> None:
    knowledge, lines, problems = read_pack(
        write_kettle(tmp_path, {f"{FILE}:{change}": value}), PACK
    )
    assert knowledge is not None and problems == []
    found = [p for p in find_problems(knowledge, lines) if what in p.what]
    assert found and found[0].file.endswith(FILE) and found[0].line > 1
    assert found[0].next_step


@pytest.mark.parametrize(
    ("change", "value", "what"),
    [
        ("kettle/checks/bench_heat.yaml:does", ["vented"], "no event, act or proof 'vented'"),
        ("kettle/stages/base_service.yaml:opens", ["air"], "no chamber 'air'"),
        ("kettle/stages/base_service.yaml:steps.0.marks", ["can_off"], "no mark 'can_off'"),
        ("kettle/stages/base_service.yaml:steps.2.does", ["lid_open"], "no event or act"),
        ("kettle/causes/element_burnt.yaml:remedy.opens", "charge", "no chamber 'charge'"),
        ("kettle/hazards.yaml:hazards.0.chambers", ["air"], "no chamber 'air'"),
        ("kettle/pack.yaml:told_by", {"vented": ["hiss"]}, "no event, act or proof 'vented'"),
    ],
)
def test_a_card_speaks_in_words_of_its_own_device(
    tmp_path: Path, change: str, value: Any, what: str
) -> None:
    knowledge, lines, _ = read_pack(write_kettle(tmp_path, {change: value}), PACK)
    assert knowledge is not None
    found = [p for p in find_problems(knowledge, lines) if what in p.what]
    assert found and found[0].file.endswith(change.partition(":")[0])
