"""Answers to cards that another one has replaced, in jobs of an earlier day and from outside."""

from __future__ import annotations

import pytest

from diagnose.errors import InputError
from diagnose.job.events import (
    NOT_SURE,
    Answered,
    Event,
    Measured,
    Opened,
    Skipped,
    Struck,
)
from diagnose.job.job_file import answer_events
from diagnose.job.retired_ids import in_todays_ids
from diagnose.job.state import fold
from tests.real_pack import shop_reasoner

REASONER = shop_reasoner()
RETIRED = REASONER.knowledge.retired
OPENED = Opened(pack="rear_air_shock", knowledge="")
AT_OPEN, AT_CLOSED = "look_rebound_at_open", "look_rebound_at_closed"
TODAY = "look_rebound_setting"


def look(ask: str, state: str) -> Answered:
    return Answered(ask=ask, state=state, by="counter")


@pytest.mark.parametrize(
    ("old", "today"),
    [
        ([look(AT_OPEN, "yes")], [look(TODAY, "open_end")]),
        ([look(AT_CLOSED, "yes")], [look(TODAY, "closed_end")]),
        # 'not at the fast end' says nothing of the slow one
        ([look(AT_OPEN, "no")], [look(TODAY, NOT_SURE)]),
        ([look(AT_CLOSED, "yes"), look(AT_OPEN, "no")], [look(TODAY, "closed_end")]),
        ([look(AT_OPEN, "yes"), look(AT_CLOSED, "yes")], [look(TODAY, "closed_end")]),
        ([Skipped(ask=AT_OPEN)], [Skipped(ask=TODAY)]),
        ([Struck(ask="said_rebound_at_open")], [Struck(ask="said_rebound_setting")]),
    ],
)
def test_a_stored_job_is_judged_as_one_of_today(old: list[Event], today: list[Event]) -> None:
    before, after = fold([OPENED, *old]), fold([OPENED, *today])
    read = in_todays_ids(before, RETIRED)
    assert [(key, r.state) for key, r in read.reports.items()] == [
        (key, r.state) for key, r in after.reports.items()
    ]
    assert [r.state for r in read.told] == [r.state for r in after.told if r.state != NOT_SURE]
    assert (read.unsure, read.skipped, read.struck) == (after.unsure, after.skipped, after.struck)
    assert REASONER.view(before).belief.causes == pytest.approx(REASONER.view(after).belief.causes)


def test_a_job_that_names_none_is_the_same_job() -> None:
    job = fold([OPENED, look("look_creak", "yes")])
    assert in_todays_ids(job, RETIRED) is job


@pytest.mark.parametrize(
    ("ask", "said", "today", "state"),
    [
        (AT_OPEN, "yes", TODAY, "open_end"),
        (AT_OPEN, True, TODAY, "open_end"),
        (AT_OPEN, "no", TODAY, NOT_SURE),
        ("bench_rebound_closed", "yes", "bench_rebound_setting", "closed_end"),
        ("said_rebound_at_closed", "not_sure", "said_rebound_setting", NOT_SURE),
    ],
)
def test_a_job_from_outside_may_name_them(ask: str, said: object, today: str, state: str) -> None:
    (event,) = answer_events(ask, said, REASONER.knowledge, "counter")
    assert isinstance(event, Answered)
    assert (event.ask, event.state) == (today, state)


def test_readings_from_outside_count_where_its_successor_reads_the_same() -> None:
    gauge = {"gauge": "120 psi", "usual_pressure": "165 psi"}
    (read,) = answer_events("bench_pressure_low", gauge, REASONER.knowledge, "bench")
    assert isinstance(read, Measured)
    assert (read.ask, read.readings) == ("bench_pressure", gauge)
    slow = {"return_time": "0.3 s"}
    (none,) = answer_events("bench_rebound_slow", slow, REASONER.knowledge, "bench")
    assert isinstance(none, Answered)
    assert (none.ask, none.state) == ("bench_rebound_time", NOT_SURE)


def test_a_state_that_it_never_had_is_refused() -> None:
    with pytest.raises(InputError, match="'wide' is no state"):
        answer_events(AT_OPEN, "wide", REASONER.knowledge, "counter")


def test_readings_count_for_a_successor_that_reads_the_same() -> None:
    gauge = {"gauge": "120 psi", "usual_pressure": "165 psi"}
    before = fold(
        [
            Measured(ask="bench_pressure_low", readings=gauge, by="bench"),
            Measured(ask="bench_rebound_slow", readings={"return_time": "0.3 s"}, by="bench"),
        ]
    )
    read = in_todays_ids(before, RETIRED)
    assert {ask: report.readings for (ask, _), report in read.reports.items()} == {
        "bench_pressure": gauge
    }
    assert read.unsure == {"bench_rebound_time"}


def test_a_healthy_answer_that_said_less_takes_nothing_away() -> None:
    before = fold(
        [
            Answered(ask="bench_pressure_low", state="yes", by="bench"),
            Answered(ask="bench_pressure_high", state="no", by="bench"),
        ]
    )
    read = in_todays_ids(before, RETIRED)
    assert read.reports["bench_pressure", "bench"].state == "low"
    assert not read.unsure
