"""What a choice is worth: regrets, tolerance, and kinds of step."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.job.events import Answered, HandedOver
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.training.moment import CLASSES, LOOK, Coach, Moment
from tests.training.test_answers import written


def moment_of(coach: Coach, complaint: str, **answers: str) -> Moment:
    events, _ = events_of({"complaint": complaint, "answers": answers}, coach.knowledge)
    return coach.moment(fold([*events, HandedOver(to="", at="bench")]))


@pytest.fixture(scope="module")
def leaking(coach: Coach) -> Moment:
    return moment_of(coach, "loses air overnight")


def test_no_choice_is_better_than_the_best(leaking: Moment) -> None:
    assert leaking.best_id in leaking.values
    assert leaking.regret(leaking.best_id or "") == 0.0
    assert all(leaking.regret(ident) >= 0.0 for ident in leaking.values)
    assert leaking.stop_regret() >= 0.0


def test_within_five_per_cent_or_two_minutes_counts_as_best(leaking: Moment) -> None:
    rate = leaking.coach.money.rate_per_minute
    assert leaking.tolerance == pytest.approx(max(0.05 * leaking.best, 2.0 * rate))
    for ident, value in leaking.values.items():
        lost = value - leaking.best
        if lost <= leaking.tolerance and leaking.class_of(ident) != "nothing":
            assert leaking.regret(ident) == 0.0
        elif ident != leaking.best_id:
            assert leaking.regret(ident) == pytest.approx(lost)


def test_every_step_has_a_kind(leaking: Moment) -> None:
    kinds = {leaking.class_of(ident) for ident in leaking.values}
    assert kinds <= set(CLASSES)
    assert {"splits", "nothing"} <= kinds
    # A squeak says nothing of what goes down overnight, nor does the shock's size at the bench.
    assert leaking.class_of("said_squeak") == leaking.class_of("bench_size") == "nothing"
    assert leaking.class_of("look_bubbles_valve") == "splits"


def test_what_changes_nothing_is_never_free(leaking: Moment) -> None:
    for ident in leaking.values:
        if leaking.class_of(ident) == "nothing":
            assert leaking.regret(ident) > 0.0


def test_answered_is_a_repeat_and_costs_its_price(coach: Coach) -> None:
    moment = moment_of(coach, "loses air", said_creak="no")
    assert moment.class_of("said_creak") == "repeats"
    assert moment.regret("said_creak") == pytest.approx(coach.price(coach.card("said_creak")))


def test_the_look_is_free_once(coach: Coach, leaking: Moment) -> None:
    assert not leaking.looked
    assert leaking.regret(LOOK) == 0.0
    events, _ = events_of({"complaint": "loses air overnight"}, coach.knowledge)
    for ident in coach.knowledge.pack.look:
        healthy = coach.compiled.states(coach.knowledge.checks[ident].observes)[0]
        events.append(Answered(ask=ident, state=healthy, by="counter"))
    after = coach.moment(fold([*events, HandedOver(to="", at="bench")]))
    assert after.looked
    assert after.regret(LOOK) > 0.0
    assert after.class_of(LOOK) == "repeats"


def test_with_a_sign_standing_nothing_is_let_out_and_the_call_is_not_to_open(
    coach: Coach, cases: Path
) -> None:
    moment = moment_of(coach, written(coach, cases, "van_strap_short").complaint)
    assert moment.view.belief.signs
    assert moment.call == ("do_not_open",)
    assert not set(moment.forbidden) & set(moment.values)
    assert moment.forbidden["bench_reconnect"] == "sign"
    assert moment.call_regret(("do_not_open",)) == 0.0


def test_opening_at_once_costs_what_it_costs(leaking: Moment) -> None:
    full, small = (leaking.opening_regret(s) for s in ("full_service", "air_can_service"))
    assert full > small > 0.0


def test_a_call_beside_the_evidence_costs(leaking: Moment) -> None:
    assert leaking.call_regret(leaking.call) == 0.0
    assert leaking.call_regret(("full_service", "on_bike_hardware")) > 0.0
    assert leaking.call_regret(("air_can_service", "full_service")) == pytest.approx(
        leaking.call_regret(("full_service",))
    )
