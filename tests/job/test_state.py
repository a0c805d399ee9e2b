"""The fold: what counts after withdrawals, corrections, physical events and hand-over."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.job.events import (
    EVENT,
    Acknowledged,
    Answered,
    Approved,
    Booked,
    Closed,
    Compared,
    Complained,
    Described,
    Event,
    HandedOver,
    Happened,
    Judged,
    Measured,
    Noted,
    Opened,
    Resumed,
    SheetChosen,
    Skipped,
    Understood,
    Withdrawn,
)
from diagnose.job.state import JobState, fold, undoable

OPENED = Opened(pack="kettle", knowledge="f")


def said(state: str, ask: str = "said_drips", **more: Any) -> Answered:
    return Answered(ask=ask, state=state, **more)


def states(*events: Event) -> dict[tuple[str, str], str]:
    """(ask, reporter) -> state of what counts."""
    return {key: report.state for key, report in fold(events).reports.items()}


def test_an_empty_job_takes_every_chamber_as_under_pressure() -> None:
    job = fold([OPENED])
    assert (job.at, job.pack, job.complaint, job.reports) == ("counter", "kettle", "", {})
    assert job.happened == ()


def test_later_words_are_added_and_have_to_be_confirmed_again() -> None:
    job = fold([OPENED, Complained(text="drips"), Understood(), Complained(text="stays cold")])
    assert job.complaint == "drips. stays cold"
    assert not job.confirmed
    assert fold([OPENED, Complained(text="drips"), Understood()]).confirmed


def test_fields_of_the_device_are_added_and_corrected() -> None:
    job = fold(
        [Described(shock={"age_years": 3, "lockout": True}), Described(shock={"age_years": 4})]
    )
    assert job.shock == {"age_years": 4, "lockout": True}


def test_the_later_answer_of_a_reporter_replaces_the_earlier() -> None:
    assert states(said("dry"), said("drips")) == {("said_drips", "customer"): "drips"}


def test_reporters_and_checks_stand_side_by_side() -> None:
    rows = states(said("dry"), said("drips", by="counter"), said("dry", "look_drips", by="counter"))
    assert rows == {
        ("said_drips", "customer"): "dry",
        ("said_drips", "counter"): "drips",
        ("look_drips", "counter"): "dry",
    }


def test_not_sure_takes_back_what_this_reporter_said_and_no_other() -> None:
    job = fold([said("drips"), said("drips", by="counter"), said("not_sure")])
    assert list(job.reports) == [("said_drips", "counter")]
    assert job.unsure == {"said_drips"}
    assert fold([said("not_sure"), said("dry")]).unsure == frozenset()


def test_readings_replace_a_state_of_the_same_check() -> None:
    job = fold(
        [said("drips", "bench_leak", by="bench"), Measured(ask="bench_leak", readings={"a": "1"})]
    )
    (report,) = job.reports.values()
    assert (report.state, report.readings) == ("", {"a": "1"})


def test_what_was_withdrawn_counts_as_if_it_had_not_been() -> None:
    assert states(said("dry"), said("drips"), Withdrawn(number=1)) == {
        ("said_drips", "customer"): "dry"
    }
    job = fold(
        [OPENED, Complained(text="drips"), Booked(), Withdrawn(number=2), Withdrawn(number=1)]
    )
    assert (job.complaint, job.booked, job.count) == ("", False, 5)


def test_taking_back_goes_from_the_latest_to_the_first() -> None:
    events: list[Event] = [OPENED, Complained(text="drips"), said("dry"), Skipped(ask="x")]
    order = []
    while (number := undoable(events)) is not None:
        order.append(number)
        events.append(Withdrawn(number=number))
    assert order == [3, 2, 1]


@pytest.mark.parametrize(
    "event",
    [
        OPENED,
        Happened(what="vented"),
        Acknowledged(hazards=["scald"], step="bench_heat"),
        HandedOver(to="BB"),
        Resumed(),
        Approved(stages=["descale"]),
        Judged(judgement={}),
        Noted(text="x"),
        Closed(),
    ],
    ids=lambda event: str(event.kind),
)
def test_what_was_done_cannot_be_taken_back(event: Event) -> None:
    assert undoable([event]) is None


def test_an_answer_can_be_taken_back_over_a_physical_event_that_stays() -> None:
    events: list[Event] = [OPENED, said("dry"), Happened(what="vented")]
    assert undoable(events) == 1
    job = fold([*events, Withdrawn(number=1)])
    assert job.happened == ("vented",)
    assert job.reports == {}


def test_readings_keep_the_number_of_physical_events_before_them() -> None:
    job = fold([said("dry"), Happened(what="vented"), said("dry", "bench_leak", by="bench")])
    assert [report.epoch for report in job.reports.values()] == [0, 1]
    assert job.epoch == 1


def test_hand_over_ends_booking_skips_and_acknowledgements() -> None:
    begin: list[Event] = [
        OPENED,
        said("drips"),
        Skipped(ask="said_stays_cold"),
        Booked(),
        Acknowledged(hazards=["scald"], step="x", person="AA"),
    ]
    before, after = fold(begin), fold([*begin, HandedOver(to="BB", at="bench")])
    assert before.booked
    assert before.acknowledged
    assert (after.at, after.person, after.booked, after.skipped) == ("bench", "BB", False, ())
    assert after.acknowledged == frozenset()
    assert after.reports == before.reports


def test_resuming_ends_acknowledgements_and_nothing_else() -> None:
    begin: list[Event] = [Booked(), Acknowledged(hazards=["scald"], step="x", person="AA")]
    job = fold([*begin, Resumed()])
    assert job.booked
    assert job.acknowledged == frozenset()


def test_person_and_time_are_those_of_the_latest_event_that_has_them() -> None:
    job = fold([said("dry", person="AA", time="2026-03-02T09:00"), Noted(text="x")])
    assert (job.person, job.time) == ("AA", "2026-03-02T09:00")


def test_something_else_inside_is_unexplained_until_something_fits() -> None:
    def looked(state: Any, *causes: str) -> Compared:
        return Compared(stage="s", number=4, causes=list(causes), state=state)

    other = [looked("no", "seal", "core")]
    assert fold(other).set_back and fold(other).unexplained == ("seal", "core")
    on = [*other, SheetChosen(stage="s")]
    assert not fold(on).set_back and fold(on).unexplained
    unsure = [*on, looked("not_sure", "ring")]
    assert fold(unsure).unexplained and fold(unsure).denied == {"seal", "core"}
    fits = fold([*on, looked("yes", "ring")])
    assert not fits.unexplained and not fits.set_back and fits.denied == {"seal", "core"}


EVENTS = st.lists(
    st.one_of(
        st.builds(
            Answered,
            ask=st.sampled_from(["said_drips", "look_drips", "bench_leak"]),
            state=st.sampled_from(["dry", "drips", "not_sure"]),
            by=st.sampled_from(["customer", "counter", "bench"]),
        ),
        st.builds(Complained, text=st.sampled_from(["drips", "stays cold"])),
        st.builds(Happened, what=st.sampled_from(["vented", "pumped", "opened"])),
        st.builds(Skipped, ask=st.sampled_from(["said_drips", "look_drips"])),
        st.just(Booked()),
        st.builds(HandedOver, to=st.just("BB"), at=st.sampled_from(["counter", "bench"])),
        st.just(Resumed()),
        st.builds(Withdrawn, number=st.integers(0, 8)),
    ),
    max_size=9,
)


@given(EVENTS)
def test_the_latest_undoable_event_leaves_no_trace_when_taken_back(events: list[Event]) -> None:
    number = undoable(events)
    if number is None:
        return
    kept = fold([*events, Withdrawn(number=number)])
    # Event numbers stand in the reports, so the event is silenced and not cut out.
    silent = [Noted(text="") if n == number else event for n, event in enumerate(events)]
    left_out = fold([*silent, Noted(text="")])
    assert kept == left_out


@given(EVENTS)
def test_events_survive_being_stored(events: list[Event]) -> None:
    again = [EVENT.validate_json(EVENT.dump_json(event)) for event in events]
    assert again == events
    assert fold(again) == fold(events)


def test_nothing_is_a_job_too() -> None:
    assert fold([]) == JobState()
