"""What an effect proves, and what holds a deed back besides its cautions."""

from __future__ import annotations

import pytest

from diagnose.knowledge.device import CAN_CLOSE, WRITTEN
from diagnose.knowledge.loader import Knowledge
from diagnose.symptom_graph.routes import (
    deed_of,
    keys_after,
    why_not,
)
from tests.real_pack import shop_knowledge
from tests.safety.probes import effects

FULL = dict.fromkeys(("air", "negative", "charge"), True)


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return shop_knowledge()


def reason(knowledge: Knowledge, ident: str, **facts: object) -> str:
    deed = deed_of(knowledge, ident)
    assert deed is not None
    given: dict[str, object] = {
        "marks": {WRITTEN, CAN_CLOSE},
        "sign": False,
        "clearing": {"bench_length", "bench_guarded_fill"},
        "approved": True,
    }
    chambers = facts.pop("chambers", FULL)
    return why_not(knowledge, deed, chambers, **{**given, **facts})  # type: ignore[arg-type]


def test_effects_prove_what_the_trade_says(knowledge: Knowledge) -> None:
    assert list(effects(knowledge)) == []


def test_that_nothing_hisses_any_more_proves_nothing(knowledge: Knowledge) -> None:
    assert knowledge.device.after(FULL, "vented") == FULL


def test_air_that_is_proved_gone_proves_nothing_of_the_negative_side(knowledge: Knowledge) -> None:
    assert knowledge.device.after(FULL, "air_proved_empty") == {**FULL, "air": False}


def test_no_key_outlives_a_physical_event() -> None:
    assert keys_after(frozenset({("AB", "air_pressure")}), "cycled") == frozenset()


@pytest.mark.parametrize(
    ("ident", "facts", "expected"),
    [
        ("step:air_can_service:5", {}, ""),
        ("step:air_can_service:5", {"approved": False}, "approval"),
        ("step:air_can_service:5", {"marks": set()}, WRITTEN),
        ("step:air_can_service:5", {"marks": {WRITTEN}}, CAN_CLOSE),
        ("step:air_can_service:5", {"sign": True}, "sign"),
        ("step:air_can_service:0", {"marks": set()}, ""),
        ("step:no_service:2", {"approved": False}, ""),
        ("step:no_service:2", {"sign": True}, "sign"),
        ("step:do_not_open:0", {"sign": True}, ""),
        ("bench_core", {"marks": set()}, ""),
        ("bench_core", {"sign": True}, "sign"),
        ("bench_spacers", {"marks": set()}, ""),
        ("bench_guarded_fill", {"sign": True}, ""),
        ("bench_gauge_while_short", {"sign": True}, ""),
        ("look_pulls_back", {"sign": True}, "sign"),
        ("look_slider_scored", {"sign": True}, ""),
    ],
)
def test_what_holds_a_deed_back(
    knowledge: Knowledge, ident: str, facts: dict[str, object], expected: str
) -> None:
    assert reason(knowledge, ident, **facts) == expected


def test_a_check_that_would_open_waits_for_the_notes(knowledge: Knowledge) -> None:
    card = knowledge.checks["bench_spacers"].model_copy(update={"does": ["opened"]})
    would = knowledge.model_copy(update={"checks": {**knowledge.checks, card.id: card}})
    assert reason(would, card.id, marks=set()) == WRITTEN


def test_with_the_can_off_nothing_is_trapped_any_more(knowledge: Knowledge) -> None:
    off = {"air": False, "negative": False, "charge": True}
    assert reason(knowledge, "step:full_service:8", sign=True, chambers=off) == ""


def test_a_question_is_no_deed(knowledge: Knowledge) -> None:
    assert deed_of(knowledge, "said_air_loss") is None
