"""Stage sheets stand in their order, and what is moved or left out is named with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Stage
from diagnose.symptom_graph.sheets import sheet_problems, unused_cautions
from tests.kettle import kettle
from tests.real_pack import shop_knowledge


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return shop_knowledge()


def with_stage(knowledge: Knowledge, stage: Stage) -> Knowledge:
    return knowledge.model_copy(update={"stages": {**knowledge.stages, stage.id: stage}})


def test_nothing_is_wrong_with_the_knowledge_as_it_is(knowledge: Knowledge) -> None:
    assert [str(p) for p in sheet_problems(knowledge)] == []


ORDER = [(row.first, row.then) for row in shop_knowledge().device.order]


@pytest.mark.parametrize("order", ORDER, ids=lambda o: f"{o[0]} before {o[1]}")
def test_full_service_backwards_breaks_each_order(
    knowledge: Knowledge, order: tuple[str, str]
) -> None:
    stage = knowledge.stages["full_service"]
    backwards = stage.model_copy(update={"steps": list(reversed(stage.steps))})
    said = [p.what for p in sheet_problems(with_stage(knowledge, backwards))]
    assert any(f"'{order[1]}' comes before '{order[0]}'" in what for what in said)


def test_a_charge_that_is_let_out_is_restored_and_proved(knowledge: Knowledge) -> None:
    stage = knowledge.stages["damper_service"]
    kept = [s for s in stage.steps if not {"charged", "charge_proved"} & set(s.marks)]
    said = [
        p.what
        for p in sheet_problems(with_stage(knowledge, stage.model_copy(update={"steps": kept})))
    ]
    assert "a sheet with 'charge_released' has no step 'charged'." in said
    assert "a sheet with 'charge_released' has no step 'charge_proved'." in said


def test_no_text_says_safe(knowledge: Knowledge) -> None:
    cause = knowledge.causes["can_cracked"].model_copy(update={"about": "It is safe to ride."})
    broken = knowledge.model_copy(update={"causes": {**knowledge.causes, cause.id: cause}})
    assert [p.what for p in sheet_problems(broken)] == [
        "it says 'is safe'.",
        "it says 'safe to ride'.",
    ]


def test_a_caution_is_used_by_one_of_the_packs_that_share_it(tmp_path: Path) -> None:
    one = kettle(tmp_path / "one")
    other = one.model_copy(update={"hazards": {}, "floors": []})
    assert unused_cautions([one, other], Lines()) == []
    (spare, *_) = unused_cautions([other], Lines())
    assert "no hazard of any pack shows this caution" in spare.what
