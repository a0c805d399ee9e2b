"""Reports become likelihoods: who counts once, who counts beside whom, and who says nothing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from diagnose.belief.reports import confusion
from diagnose.complaint.recogniser import Understanding
from diagnose.job.events import Answered, Complained, Described, Event, Measured, Opened, Struck
from diagnose.job.measuring import Quantity, measure_check, wanted_readings
from diagnose.job.state import fold
from diagnose.reasoning.evidence import Item, answer_of, combine, gather
from diagnose.reasoning.reasoner import Reasoner
from tests.kettle import kettle_reasoner
from tests.real_pack import shop_reasoner

KETTLE = kettle_reasoner()


def items(*events: Event, reasoner: Reasoner = KETTLE) -> list[Item]:
    job = fold([Opened(pack="", knowledge=""), *events])
    return gather(reasoner.compiled, job, reasoner.hear(job), measure_check)


def rows(*events: Event) -> list[tuple[str, str, str]]:
    return [(item.ask, item.by, item.state) for item in items(*events)]


def answer(ask: str, state: str, by: str = "customer") -> Answered:
    return Answered(ask=ask, state=state, by=by)  # type: ignore[arg-type]


def test_words_are_a_report_of_the_customer() -> None:
    (item,) = items(Complained(text="it drips"))
    assert (item.finding, item.by, item.state) == ("drips", "customer", "drips")
    assert item.words
    assert item.likelihood[1] > item.likelihood[0]


def test_a_denial_speaks_against() -> None:
    (item,) = items(Complained(text="no drips"))
    assert item.state == "dry"
    assert item.likelihood[0] > item.likelihood[1]


def test_an_answer_replaces_what_the_words_said() -> None:
    assert rows(Complained(text="it drips"), answer("said_drips", "dry")) == [
        ("said_drips", "customer", "dry")
    ]


def test_words_that_were_misheard_are_struck_out() -> None:
    assert rows(Complained(text="it drips"), Struck(ask="said_drips")) == []


@pytest.mark.parametrize(("certainty", "left"), [(0.95, ["drips"]), (0.85, [])])
def test_not_sure_leaves_plain_words_standing_and_takes_doubtful_ones_back(
    certainty: float, left: list[str]
) -> None:
    """'Flat every morning', and not sure how long it holds: it goes flat all the same."""
    told = [Complained(text="it drips"), answer("said_drips", "not_sure")]
    job = fold([Opened(pack="", knowledge=""), *told])
    (said,) = KETTLE.hear(job).heard
    heard = Understanding((replace(said, certainty=certainty),))
    found = gather(KETTLE.compiled, job, heard, measure_check)
    assert [item.finding for item in found] == left
    assert rows(answer("bench_leak", "not_sure", "bench")) == []


def test_one_report_for_a_finding_and_the_customer_whichever_card_it_came_by() -> None:
    """What the customer says of a check's finding is the same report as what the symptom asked."""
    assert rows(answer("said_drips", "dry"), answer("look_drips", "drips")) == [
        ("look_drips", "customer", "drips")
    ]


def test_different_checks_of_one_finding_are_independent() -> None:
    two = items(
        answer("said_drips", "drips"),
        answer("look_drips", "drips", "counter"),
        answer("bench_leak", "drips", "bench"),
    )
    product = np.prod([item.likelihood for item in two], axis=0)
    (combined,) = combine(KETTLE.compiled, two).values()
    assert len(two) == 3
    assert combined == pytest.approx(product / product.max())


def test_a_check_is_believed_as_its_card_says() -> None:
    (item,) = items(answer("bench_leak", "drips", "bench"))
    assert item.likelihood == pytest.approx(confusion(2, 0.98, 0.01, 0.9)[:, 1])


def test_who_brings_it_up_unasked_is_believed_more_than_who_says_yes() -> None:
    (asked,) = items(answer("said_drips", "drips"))
    (told,) = items(Complained(text="it drips"))
    ratio = told.likelihood[1] / told.likelihood[0]
    assert asked.likelihood[1] / asked.likelihood[0] == pytest.approx(0.8 / 0.05)
    assert ratio > asked.likelihood[1] / asked.likelihood[0]


def test_what_others_pass_on_is_believed_as_seen() -> None:
    (item,) = items(answer("said_drips", "drips", "bench"))
    assert item.likelihood == pytest.approx([0.04, 0.9])


def test_a_card_that_is_gone_says_nothing() -> None:
    assert rows(answer("said_hums", "yes")) == []


def test_readings_become_the_likelihood_of_each_state() -> None:
    """A sagging third of the stroke: 17 mm of 55 mm is 31 %."""
    reasoner = shop_reasoner()
    card = reasoner.knowledge.checks["bench_sag"]
    names = [reading.name for reading in wanted_readings(card)]
    assert names
    typed = {"sag": "17 mm", "stroke": "55 mm"}
    assert set(typed) <= set(names), names
    item, _ = items(Measured(ask="bench_sag", readings=typed), reasoner=reasoner)
    assert item.quantity is not None
    assert item.quantity.value == pytest.approx(17 / 55 * 100, abs=0.2)
    assert item.state == reasoner.compiled.states(card.observes)[int(item.likelihood.argmax())]
    assert item.likelihood.max() == 1.0
    assert item.likelihood.min() >= 1e-3


def test_the_caller_brings_the_physics() -> None:
    reasoner = shop_reasoner()
    job = fold([Measured(ask="bench_sag", readings={"x": "1"})])
    card = reasoner.knowledge.checks["bench_sag"]
    assert card.reading is not None
    for state, spread in card.reading.states.items():
        found = gather(
            reasoner.compiled,
            job,
            reasoner.hear(job),
            lambda *_, mean=spread.mean: Quantity(mean, 0.01, "%"),
        )
        assert found[0].state == state


def test_the_latest_word_on_a_finding_comes_last() -> None:
    found = items(answer("said_drips", "drips"), answer("bench_leak", "dry", "bench"))
    assert [item.state for item in found if item.finding == "drips"][-1] == "dry"
    assert not [item for item in found if item.finding == "cord"]


def judged(ask: str, shock: dict[str, Any] | None = None, **readings: str) -> dict[str, Item]:
    """Evidence of one bench reading, by finding."""
    reasoner = shop_reasoner()
    job = fold([Described(shock=shock or {}), Measured(ask=ask, readings=readings, by="bench")])
    items = gather(reasoner.compiled, job, reasoner.hear(job), measure_check)
    return {item.finding: item for item in items}


def test_a_gauge_that_is_off_says_what_the_shock_held() -> None:
    """Set to 180 psi on a gauge that shows a quarter too much, it held 144: low, and not high."""
    found = judged("bench_second_gauge", {"set_pressure": 180.0}, rider="180 psi", shop="140 psi")
    assert {name: item.state for name, item in found.items()} == {
        "gauge_disagrees": "yes",
        "pressure_low": "yes",
        "pressure_high": "no",
    }
    silent = judged("bench_second_gauge", rider="180 psi", shop="140 psi")
    assert set(silent) == {"gauge_disagrees"}
    right = judged("bench_second_gauge", {"set_pressure": 180.0}, rider="180 psi", shop="174 psi")
    assert {name: item.state for name, item in right.items()} == {"gauge_disagrees": "no"}


def test_a_gauge_that_shows_too_little_may_hide_what_is_above_the_maximum() -> None:
    shock = {"set_pressure": 280.0, "maximum_pressure": 300.0}
    found = judged("bench_second_gauge", shock, rider="120 psi", shop="145 psi")
    assert found["pressure_high"].state == "over_max"
    assert found["pressure_low"].state == "no"


def test_a_drop_that_is_the_whole_complaint_is_the_hose_and_a_part_of_it_is_not() -> None:
    drop = {"first": "180 psi", "second": "171 psi"}
    told = judged("bench_reconnect", **drop, reported="9 psi")
    whole, air = told["pump_only_loss"], told["air_loss"]
    assert air.state == "none" and air.likelihood.argmax() == 0
    part = judged("bench_reconnect", **drop, reported="40 psi")["pump_only_loss"]
    assert whole.state == "yes" and whole.likelihood[0] < 0.1
    assert part.state == "no" and part.likelihood[1] < 0.1
    assert set(judged("bench_reconnect", **drop)) == {"pump_only_loss"}
    alone = judged("bench_reconnect", **drop)["pump_only_loss"].likelihood
    assert alone.min() > max(whole.likelihood.min(), part.likelihood.min())


def test_a_force_accuses_the_charge_only_where_charge_and_shaft_are_known() -> None:
    """215 N: 250 psi on 10 mm push with 135 N, so it is far too much; on 12.7 mm with 218 N, and
    nobody knows which of them it is."""
    force = {"shaft_force": "230 N", "force_returning": "200 N"}
    known = judged("bench_gas_force", **force, charge="250 psi", shaft="10 mm")["gas_force"]
    assert known.state == "high" and known.likelihood[0] < 0.01
    large = judged("bench_gas_force", **force, charge="250 psi", shaft="12.7 mm")["gas_force"]
    assert large.state == "normal"
    guessed = judged("bench_gas_force", **force)["gas_force"]
    assert guessed.state == "normal" and guessed.likelihood[3] > 0.5
    none = judged("bench_gas_force", shaft_force="10 N", force_returning="0 N")["gas_force"]
    assert none.state == "none" and none.likelihood[0] < 0.01


def test_a_reading_that_does_not_tell_it_from_healthy_accuses_nobody() -> None:
    night = {"before": "170 psi", "after": "168 psi", "reconnections": "0", "elapsed": "15 min"}
    found = judged("bench_short_gauge", **night)["air_loss"]
    assert found.state == "none"
    # 2 psi in a quarter of an hour is not gone in minutes; of the slower ones nothing is shut out
    assert found.likelihood[:-1].min() > 1e-3 and sorted(found.likelihood)[-2] > 0.5


# one check, several findings --------------------------------------------------------------------


def told(*events: Event) -> dict[str, str]:
    return {item.finding: item.state for item in items(*events, reasoner=shop_reasoner())}


@pytest.mark.parametrize(
    ("gauge", "low", "high"), [(120, "yes", "no"), (165, "no", "no"), (220, "no", "yes")]
)
def test_one_reading_speaks_of_several_findings(gauge: int, low: str, high: str) -> None:
    readings = {"gauge": f"{gauge} psi", "usual_pressure": "165 psi"}
    said = told(Measured(ask="bench_pressure", readings=readings, by="bench"))
    assert said == {"pressure_low": low, "pressure_high": high}


@pytest.mark.parametrize(
    ("state", "low", "high"),
    [("no", "no", "no"), ("low", "yes", "no"), ("over_max", "no", "over_max")],
)
def test_one_answer_speaks_of_several_findings(state: str, low: str, high: str) -> None:
    said = told(answer("bench_pressure", state, "bench"))
    assert said == {"pressure_low": low, "pressure_high": high}


def test_an_answer_that_is_silent_of_a_finding_says_nothing_of_it() -> None:
    assert told(answer("look_bill", "yes", "counter")) == {"worked_on_damper": "yes"}


def test_what_was_read_is_told_as_the_answer_that_says_the_same() -> None:
    card = shop_reasoner().knowledge.checks["bench_sag"]
    for mm, state in ((16, "no"), (8, "low"), (28, "much")):
        readings = {"sag": f"{mm} mm", "stroke": "55 mm"}
        read = items(
            Measured(ask="bench_sag", readings=readings, by="bench"), reasoner=shop_reasoner()
        )
        assert {answer_of(read, item, card) for item in read} == {state}
