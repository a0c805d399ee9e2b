"""Where a job stands, what it waits for, and what ripens next."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.job import queue
from diagnose.job.events import (
    Acknowledged,
    Answered,
    Approved,
    Begun,
    Booked,
    Closed,
    Complained,
    Event,
    HandedOver,
    Happened,
    Measured,
    Noted,
    Opened,
    Promised,
    Quoted,
    Readied,
    Referred,
    Resumed,
    Stocked,
    Withdrawn,
)
from diagnose.job.queue import STATES, Standing, in_order, promised_day, ripe, standing, told
from diagnose.job.state import fold

MORNING, NOON, EVENING = (f"2031-04-12T{hour}:00:00+00:00" for hour in ("09", "12", "18"))
OPENED = Opened(pack="p", knowledge="k", time=MORNING)
TO_BENCH = HandedOver(to="CD", time=NOON)
ASLEEP = Begun(ask="bench_gauge", readings={"before": "165 psi"}, due=EVENING, time=NOON)
NO = Approved(stages=["small"], declined=True, time=NOON)
YES = Approved(stages=["small"], time=NOON)


@pytest.mark.parametrize(
    ("events", "state"),
    [
        ([], "new"),
        ([OPENED, Complained(text="drips")], "counter"),
        ([OPENED, Booked()], "look"),
        ([OPENED, TO_BENCH], "look"),
        ([OPENED, TO_BENCH, Noted(text="x"), Promised(day="2031-04-14")], "look"),
        ([OPENED, TO_BENCH, Resumed()], "bench"),
        ([OPENED, TO_BENCH, Acknowledged(hazards=["x"], step="y")], "bench"),
        ([OPENED, TO_BENCH, Resumed(), HandedOver(to="EF")], "bench"),
        ([OPENED, TO_BENCH, Resumed(), HandedOver(to="EF", at="counter")], "counter"),
        ([OPENED, Quoted(stages=["small"])], "approval"),
        ([OPENED, TO_BENCH, Resumed(), Quoted(stages=["small"])], "approval"),
        ([OPENED, TO_BENCH, Resumed(), Quoted(stages=["small"]), YES], "bench"),
        ([OPENED, NO], "declined"),
        ([OPENED, YES, Approved(stages=["large"], declined=True), TO_BENCH], "look"),
        ([OPENED, YES, Approved(stages=[], declined=True)], "declined"),
        ([OPENED, NO, Quoted(stages=["small"])], "approval"),
        ([OPENED, NO, YES, TO_BENCH], "look"),
        ([OPENED, TO_BENCH, ASLEEP], "test"),
        ([OPENED, TO_BENCH, ASLEEP, Withdrawn(number=2)], "look"),
        ([OPENED, TO_BENCH, Stocked(item="kit", state="order")], "parts"),
        ([OPENED, TO_BENCH, Stocked(item="kit", state="unknown")], "look"),
        (
            [OPENED, TO_BENCH, Stocked(item="k", state="order"), Stocked(item="k", state="have")],
            "look",
        ),
        ([OPENED, TO_BENCH, Readied()], "ready"),
        ([OPENED, TO_BENCH, Readied(), Happened(what="vented")], "bench"),
        ([OPENED, TO_BENCH, Readied(), Closed(), Withdrawn(number=3)], "bench"),
        ([OPENED, Referred(to="another shop")], "referred"),
        ([OPENED, Referred(to="another shop"), HandedOver(to="CD")], "look"),
        ([OPENED, ASLEEP, Quoted(stages=["small"]), Closed()], "closed"),
    ],
)
def test_each_job_has_the_state_that_says_what_comes_next(events: list[Event], state: str) -> None:
    assert standing(fold(events)).state == state


def test_a_first_reading_bears_only_on_the_state_in_which_it_was_taken() -> None:
    begin = [OPENED, TO_BENCH, ASLEEP]
    own = Happened(what="pumped", step="bench_gauge")
    assert fold([*begin, own]).awaited == ASLEEP
    assert (
        fold([*begin, Happened(what="cycled", step="bench_knock", gentle=True)]).awaited == ASLEEP
    )
    for what in ("vented", "pumped", "opened", "refilled"):
        assert fold([*begin, Happened(what=what, step="step:small:3")]).awaited is None


def test_the_second_reading_ends_the_wait_and_any_answer_to_the_check_does() -> None:
    readings = {"before": "165 psi", "after": "120 psi", "elapsed": "8 h"}
    begin = [OPENED, TO_BENCH, ASLEEP]
    assert fold([*begin, Measured(ask="bench_gauge", readings=readings)]).awaited is None
    assert fold([*begin, Answered(ask="bench_gauge", state="none", by="bench")]).awaited is None
    assert fold([*begin, Answered(ask="bench_other", state="none", by="bench")]).awaited == ASLEEP


def test_since_and_due_are_those_of_the_event_that_led_there() -> None:
    assert standing(fold([OPENED, TO_BENCH, ASLEEP])) == Standing("test", NOON, EVENING)
    quoted = Quoted(stages=["small"], time=EVENING)
    assert standing(fold([OPENED, quoted])) == Standing("approval", EVENING, "")
    ordered = Stocked(item="kit", state="order", day="2031-04-20", time=NOON)
    assert standing(fold([OPENED, ordered])) == Standing("parts", NOON, "2031-04-20")


def test_parts_that_come_late_move_the_promised_day_and_early_ones_do_not() -> None:
    promise = Promised(day="2031-04-15")
    late = Stocked(item="kit", state="order", day="2031-04-20")
    assert promised_day(fold([promise])) == "2031-04-15"
    assert promised_day(fold([promise, late])) == "2031-04-20"
    early = Stocked(item="oil", state="order", day="2031-04-13")
    assert promised_day(fold([promise, early])) == "2031-04-15"
    here = Stocked(item="kit", state="have")
    assert promised_day(fold([promise, late, here])) == "2031-04-15"
    assert promised_day(fold([late])) == ""


def test_what_ripens_next_comes_first() -> None:
    rows = [
        (Standing("bench", MORNING), "longest on the bench"),
        (Standing("bench", NOON), "on the bench"),
        (Standing("look", MORNING, "2031-04-13"), "promised tomorrow"),
        (Standing("test", MORNING, EVENING), "read in the evening"),
        (Standing("approval", MORNING, "2031-04-30"), "asked this morning"),
        (Standing("approval", NOON), "asked at noon"),
        (Standing("parts", NOON), "no day known"),
    ]
    assert [name for _, name in in_order(reversed(rows))] == [
        "asked this morning",
        "asked at noon",
        "read in the evening",
        "promised tomorrow",
        "longest on the bench",
        "no day known",
        "on the bench",
    ]


@pytest.mark.parametrize(
    ("stand", "words"),
    [
        (Standing("test", NOON, EVENING), "on test, reading again after 18:00"),
        (Standing("test", NOON, MORNING), "on test, second reading due since 09:00"),
        (Standing("test", NOON, ""), "on test"),
        (Standing("approval", MORNING), "waits for the customer's word since 09:00"),
        (Standing("parts", NOON, "2031-04-20"), "waits for parts, expected 20 Apr"),
        (Standing("bench", NOON, "2031-04-12"), "on the bench, promised for 12 Apr"),
        (
            Standing("look", NOON, "2031-04-11"),
            "waits for a look, promised for 11 Apr, which is past",
        ),
        (Standing("ready", NOON), "ready"),
    ],
)
def test_states_in_words(stand: Standing, words: str) -> None:
    assert told(stand, NOON) == words


def test_it_is_ripe_from_its_moment_on_whatever_the_offset() -> None:
    stand = Standing("test", MORNING, EVENING)
    assert not ripe(stand, "2031-04-12T19:59:00+02:00")
    assert ripe(stand, "2031-04-12T20:00:00+02:00")
    assert not ripe(Standing("test"), NOON)
    assert not ripe(stand, "no clock")


@given(st.lists(st.tuples(st.sampled_from(sorted(STATES)), st.text(max_size=25)), max_size=8))
def test_any_stored_text_can_be_ordered_and_told(rows: list[tuple[str, str]]) -> None:
    stands = [(Standing(state, text, text), n) for n, (state, text) in enumerate(rows)]
    assert sorted(n for _, n in in_order(stands)) == list(range(len(rows)))
    assert all(told(stand, NOON) for stand, _ in stands)


def test_examples_are_true() -> None:
    assert doctest.testmod(queue).failed == 0
