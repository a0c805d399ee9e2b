"""Answers that do not fit: both named, the cheaper one to check again first."""

from __future__ import annotations

from diagnose.reasoning.contradiction import Doubt, doubt_of
from tests.real_pack import shop_reasoner

KNOWLEDGE = shop_reasoner().knowledge
CHECKS = sorted(
    (c for c in KNOWLEDGE.checks.values() if c.at == "bench"), key=lambda card: card.minutes
)
CHEAP, DEAR = CHECKS[0], CHECKS[-1]
SYMPTOM = next(iter(KNOWLEDGE.symptoms.values()))


def test_the_cheaper_check_is_the_one_to_repeat() -> None:
    for order in ([CHEAP.id, DEAR.id], [DEAR.id, CHEAP.id]):
        doubt = doubt_of(KNOWLEDGE, order, "bench")
        assert doubt.again == CHEAP.id
        assert CHEAP.name in doubt.words and DEAR.name in doubt.words


def test_nobody_at_the_bench_is_told_to_ask_the_customer_where_a_check_can_be_made() -> None:
    assert doubt_of(KNOWLEDGE, [SYMPTOM.id, DEAR.id], "bench").again == DEAR.id
    assert doubt_of(KNOWLEDGE, [SYMPTOM.id, DEAR.id], "counter").again == SYMPTOM.id


def test_where_all_fits_nothing_is_said() -> None:
    assert doubt_of(KNOWLEDGE, [], "bench") == Doubt()
