"""What may come next: never what is known, never what does not apply, never what is not allowed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from diagnose.belief.compiled import compile_pack
from diagnose.job.events import (
    Answered,
    Complained,
    Described,
    Event,
    HandedOver,
    Opened,
    Skipped,
)
from diagnose.job.measuring import measure_check
from diagnose.job.state import fold
from diagnose.knowledge.models import NOT_SURE
from diagnose.reasoning.evidence import gather
from diagnose.reasoning.open_options import open_at
from diagnose.reasoning.options import candidates, find_card, options_for
from tests.kettle import kettle, kettle_reasoner
from tests.real_pack import shop_reasoner

KETTLE = kettle_reasoner()
EVERYTHING = {
    "said_stays_cold", "said_drips", "said_lid_jammed", "look_drips", "look_cord",
}  # fmt: skip
BENCH = {"bench_heat", "bench_leak", "bench_lid"}


def offered(*events: Event, channel: str = "bike_here", **options: Any) -> set[str]:
    compiled = options.pop("compiled", KETTLE.compiled)
    opened = Opened(pack="", knowledge="", channel=channel)  # type: ignore[arg-type]
    job = fold([opened, *events])
    items = gather(compiled, job, KETTLE.hear(job), measure_check)
    given = {"trapped": None, **options}
    return {card.id for card in candidates(compiled, job, items, **given)}


def test_the_counter_asks_customers_and_looks() -> None:
    assert offered() == EVERYTHING


def test_the_bench_checks_what_the_counter_can_do_too() -> None:
    assert offered(HandedOver(to="", at="bench")) == BENCH | {"look_drips", "look_cord"}


def test_what_was_answered_skipped_or_not_known_is_not_asked_again() -> None:
    for event in (
        Answered(ask="said_drips", state="dry"),
        Answered(ask="said_drips", state="not_sure"),
        Skipped(ask="said_drips"),
    ):
        assert "said_drips" not in offered(event)


def test_what_was_looked_at_is_not_asked_of_the_customer() -> None:
    assert "said_drips" not in offered(Answered(ask="look_drips", state="dry", by="counter"))


def test_what_was_only_heard_may_be_asked_what_was_answered_not() -> None:
    after = offered(Complained(text="the lid is jammed"))
    assert "said_lid_jammed" in after
    answered = Answered(ask="said_lid_jammed", state="jammed")
    assert "said_lid_jammed" not in offered(Complained(text="the lid is jammed"), answered)


@pytest.mark.parametrize("channel", ["phone", "mail"])
def test_nobody_looks_over_the_telephone(channel: str) -> None:
    assert offered(channel=channel) == {"said_stays_cold", "said_drips", "said_lid_jammed"}


def test_nothing_is_loaded_while_there_is_a_reason_to_stop() -> None:
    bench = HandedOver(to="", at="bench")
    assert "bench_heat" in offered(bench)
    assert "bench_heat" not in offered(bench, load=False)


def test_a_sign_keeps_hands_off_what_does_something_unless_it_clears_the_sign() -> None:
    bench = HandedOver(to="", at="bench")
    assert "bench_heat" not in offered(bench, trapped={"bench_lid"})
    assert "bench_lid" in offered(bench, trapped={"bench_lid"})
    assert "bench_heat" in offered(bench, trapped={"bench_heat"})


def test_what_the_shop_lacks_is_not_offered(tmp_path: Any) -> None:
    change = {
        "kettle/checks/bench_leak.yaml:shop_needs": ["tub"],
        "kettle/pack.yaml:equipment": {"tub": "a tub of water"},
    }
    compiled = compile_pack(kettle(tmp_path, change))
    bench = HandedOver(to="", at="bench")
    assert "bench_leak" in offered(bench, compiled=compiled)
    assert "bench_leak" in offered(bench, compiled=compiled, shop_has=frozenset({"tub"}))
    assert "bench_leak" not in offered(bench, compiled=compiled, shop_has=frozenset())


def test_a_part_that_is_not_there_is_not_asked_about(tmp_path: Any) -> None:
    change = {"kettle/symptoms/said_drips.yaml:applies_when": {"cordless": True}}
    compiled = compile_pack(kettle(tmp_path, change))
    assert "said_drips" in offered(compiled=compiled)
    assert "said_drips" in offered(Described(shock={"cordless": True}), compiled=compiled)
    assert "said_drips" not in offered(Described(shock={"cordless": False}), compiled=compiled)


def test_what_customers_cannot_know_is_never_asked(tmp_path: Any) -> None:
    compiled = compile_pack(kettle(tmp_path, {"kettle/symptoms/said_drips.yaml:ask": False}))
    assert "said_drips" not in offered(compiled=compiled)


def test_an_option_costs_its_minutes_and_its_preparation() -> None:
    """Counter: 0.2 min x 1 and the interruption; bench check: 2 min, and 3 min to fill it."""
    job = fold([Opened(pack="", knowledge="")])
    view = KETTLE.view(job)
    cards = [find_card(KETTLE.compiled, ident) for ident in ("look_cord", "bench_heat")]
    look, heat = options_for(
        KETTLE.compiled,
        cards,
        view.belief.hypotheses,
        [(evidence, ()) for evidence in view.belief.evidences],
        job,
        KETTLE.money,
    )
    assert look.price == pytest.approx(0.2 + 0.4)
    assert (look.act, heat.act, heat.act_price) == (None, "filled", 3.0)
    assert heat.price == pytest.approx(2.0 + 0.4)
    assert heat.outcomes.shape == (len(view.belief.hypotheses.weights), 4)
    assert heat.answers[-1] == NOT_SURE
    assert heat.outcomes.sum(axis=1) == pytest.approx(1.0)
    assert np.all(heat.outcomes > 0)


def test_what_was_read_over_night_is_not_read_for_a_quarter_of_an_hour() -> None:
    """The same number for the same finding; the quarter of an hour may still be followed by it."""
    shop, bench = shop_reasoner(), HandedOver(to="", at="bench")

    def after(ask: str, state: str) -> set[str]:
        job = fold(
            [Opened(pack="", knowledge=""), bench, Answered(ask=ask, state=state, by="bench")]
        )
        items = gather(shop.compiled, job, shop.hear(job), measure_check)
        return {c.id for c in candidates(shop.compiled, job, items, trapped=None)}

    assert "bench_short_gauge" not in after("bench_overnight_gauge", "none")
    assert "bench_overnight_gauge" in after("bench_short_gauge", "none")


def test_a_check_of_several_findings_is_an_option_for_each() -> None:
    shop = shop_reasoner()
    view = shop.view(fold([Opened(pack="", knowledge="", at="bench")]))
    told = [option.finding for option in open_at(view.belief, "bench") if option.id == "bench_sag"]
    assert told == ["sag_high", "sag_low"]
