"""A check that reads twice: first readings, a night, second readings; what comes in between."""

from __future__ import annotations

import doctest
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.conversation import awaiting
from diagnose.conversation.awaiting import between, hours_words
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError, RefusedError
from diagnose.job.events import (
    Answered,
    Begun,
    Event,
    Happened,
    Measured,
    Opened,
    Resumed,
    SightLeft,
)
from diagnose.job.measuring import measure_check
from diagnose.job.state import fold
from tests.real_pack import shop_reasoner
from tests.safety.attack import StubReasoner, stub_advice, stubbed

NIGHT = "bench_overnight_gauge"
EVENING, MORNING = "2031-04-12T18:00:00+00:00", "2031-04-13T07:12:00+00:00"


class Advises(StubReasoner):
    """Advises one check as long as it was not done, and then perhaps another one."""

    check, then = NIGHT, ""

    def view(self, job: Any) -> Any:
        done = job.dealt_with | {""}
        options = [c for c in (self.check, self.then) if c not in done]
        view = super().view(job)
        view.advice, view.belief.signs = stub_advice(options, 0 if options else None), []
        return view

    def measure(self, card: Any, readings: Any, job: Any) -> Any:
        return measure_check(card, readings, job)


class Bench:
    """A person at the bench, with a clock."""

    def __init__(self, time: str = EVENING) -> None:
        self.talk = Conversation(Advises(shop_reasoner().knowledge, 0))  # type: ignore[arg-type]
        self.time = time
        self.events: list[Event] = [
            Opened(pack="p", knowledge="", at="bench", time=time, person="AB"),
            Answered(ask="said_air_loss", state="overnight", time=time, person="AB"),
            SightLeft(time=time, person="AB"),
        ]

    @property
    def prompt(self) -> Prompt:
        with stubbed():
            return self.talk.prompt(self.events, "AB")

    def reply(self, value: object) -> list[Event]:
        with stubbed():
            prompt = self.talk.prompt(self.events, "AB")
            new = self.talk.reply(self.events, prompt, value, time=self.time, person="AB")
        self.events += new
        return new

    def read_cautions(self) -> None:
        while (prompt := self.prompt).kind == "caution":
            self.reply(prompt.answers[0].key)

    def begin(self, **readings: str) -> None:
        self.read_cautions()
        self.reply("read_later")
        self.reply({"before": "165 psi", **readings})

    def later(self, time: str) -> None:
        self.time = time
        self.events.append(Resumed(time=time, person="AB"))


def names(prompt: Prompt) -> list[str]:
    return [reading.name for reading in prompt.readings]


def test_the_first_readings_put_the_job_to_sleep_and_the_rest_is_asked_alone() -> None:
    bench = Bench()
    assert bench.prompt.kind == "caution"
    bench.read_cautions()
    offered = bench.prompt.answers[-1]
    assert (offered.state, offered.key) == ("read_later", str(len(bench.prompt.answers)))
    assert "in 9 h" in offered.text
    bench.reply(offered.key)
    assert names(bench.prompt) == [
        "before",
        "temperature_before",
        "altitude_before",
        "maximum",
        "pump",
        "wait",
    ]
    new = bench.reply({"before": "165 psi", "temperature_before": "21 C"})
    assert [event.kind for event in new] == ["begun", "happened", "happened"]
    assert bench.prompt.id == f"asleep:{NIGHT}"
    assert "165 psi, 21 C at 18:00. Reading again after 13 Apr 03:00." in bench.prompt.text
    bench.later(MORNING)
    bench.read_cautions()
    second = bench.prompt
    assert names(second) == ["after", "elapsed", "temperature_after", "reconnections"]
    assert second.readings[1].optional
    assert "13 h 12 min" in second.readings[1].text
    (taken,) = bench.reply({"after": "120 psi", "temperature_after": "15 C"})
    assert taken == Measured(
        ask=NIGHT,
        readings={
            "before": "165 psi",
            "temperature_before": "21 C",
            "after": "120 psi",
            "temperature_after": "15 C",
            "elapsed": "13 h 12 min",
        },
        time=MORNING,
        person="AB",
    )
    job = fold(bench.events)
    assert job.awaited is None
    assert job.reports[NIGHT, "bench"].epoch == 0, "it bears on the shock before it was pumped"
    assert bench.prompt.id == "decide"


def test_the_second_half_comes_to_what_both_at_once_come_to() -> None:
    bench = Bench()
    bench.begin(temperature_before="21 C")
    bench.later(MORNING)
    bench.read_cautions()
    (taken,) = bench.reply({"after": "120 psi", "temperature_after": "15 C"})
    check = shop_reasoner().knowledge.checks[NIGHT]
    whole = {
        "before": "165 psi",
        "after": "120 psi",
        "elapsed": "13.2 h",
        "temperature_before": "21 C",
        "temperature_after": "15 C",
    }
    assert isinstance(taken, Measured)
    one = measure_check(check, taken.readings, fold([]))
    two = measure_check(check, whole, fold([]))
    assert one.value == pytest.approx(two.value)


def test_the_cautions_come_again_for_the_second_reading() -> None:
    bench = Bench()
    bench.begin()
    bench.later(MORNING)
    assert bench.prompt.kind == "caution"
    assert "skip" not in bench.prompt.commands
    second = replace(bench.prompt, kind="readings", id=f"second:{NIGHT}")
    with stubbed(), pytest.raises(RefusedError):
        bench.talk.reply(bench.events, second, {"after": "120 psi"}, time=MORNING, person="AB")


def test_a_corrected_time_counts_and_a_longer_wait_is_kept() -> None:
    bench = Bench()
    bench.begin(wait="2 days")
    assert "Reading again after 14 Apr 18:00." in bench.prompt.text
    bench.later(MORNING)
    assert bench.prompt.id == f"asleep:{NIGHT}", "woken too early, it says until when it sleeps"
    bench.reply("now")
    bench.read_cautions()
    (taken,) = bench.reply({"after": "120 psi", "elapsed": "12 h"})
    assert isinstance(taken, Measured)
    assert taken.readings["elapsed"] == "12 h"


def test_a_clock_that_was_set_back_is_not_believed() -> None:
    bench = Bench()
    bench.begin()
    bench.later("2031-04-11T07:00:00+00:00")
    bench.reply("now")
    bench.read_cautions()
    elapsed = bench.prompt.readings[1]
    assert not elapsed.optional
    assert "clock was set" in elapsed.text
    with pytest.raises(InputError, match="before the first reading"):
        bench.reply({"after": "120 psi"})
    assert bench.reply({"after": "120 psi", "elapsed": "11 h"})


def test_a_job_without_times_asks_for_the_time_between() -> None:
    bench = Bench(time="")
    bench.begin()
    bench.read_cautions()
    assert bench.prompt.id == f"second:{NIGHT}"
    assert not bench.prompt.readings[1].optional


def test_other_checks_go_on_meanwhile_and_the_reading_comes_back_when_it_is_due() -> None:
    bench = Bench()
    bench.begin()
    bench.reply("meanwhile")
    assert bench.prompt.id == "decide"
    assert "Reading again after 13 Apr 03:00." in bench.prompt.text
    bench.later(MORNING)
    bench.read_cautions()
    assert bench.prompt.id == f"second:{NIGHT}"


def test_what_changed_the_pressure_since_makes_the_first_reading_void() -> None:
    bench = Bench()
    bench.begin()
    bench.events.append(Happened(what="vented", step="bench_core", time=EVENING, person="AB"))
    assert fold(bench.events).awaited is None
    bench.read_cautions()
    assert bench.prompt.id == NIGHT, "both readings are asked for again"
    late = Prompt("readings", f"second:{NIGHT}", "")
    with stubbed(), pytest.raises(InputError, match="no longer counts"):
        bench.talk.reply(bench.events, late, {"after": "1 psi"}, time=EVENING, person="AB")


@pytest.mark.parametrize("asleep", [True, False])
def test_given_up_it_is_as_if_it_had_not_begun(asleep: bool) -> None:
    bench = Bench()
    bench.begin()
    if not asleep:
        bench.later(MORNING)
        bench.read_cautions()
    bench.reply("give_up")
    bench.read_cautions()
    assert bench.prompt.id == NIGHT
    assert fold(bench.events).awaited is None


def test_going_back_takes_the_first_reading_back() -> None:
    bench = Bench()
    bench.begin()
    with stubbed():
        new = bench.talk.command(bench.events, bench.prompt, "back", time=EVENING, person="AB")
    bench.events += new
    assert fold(bench.events).awaited is None
    bench.read_cautions()
    assert bench.prompt.id == f"first:{NIGHT}"


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ({}, "before was not read"),
        ({"before": "165 psi", "after": "120 psi"}, "not read now"),
        ({"before": "165 psi", "wait": "soon"}, "soon"),
        ({"before": "165 psi", "wait": "0 h"}, "waits that long"),
        ({"before": "165 psi", "wait": "90 days"}, "waits that long"),
    ],
)
def test_wrong_first_readings_are_refused_and_asked_again(
    readings: dict[str, str], said: str
) -> None:
    bench = Bench()
    bench.read_cautions()
    bench.reply("read_later")
    with pytest.raises(InputError, match=said):
        bench.reply(readings)
    assert bench.prompt.id == f"first:{NIGHT}"


def test_a_second_reading_that_cannot_be_is_refused() -> None:
    bench = Bench()
    bench.begin()
    bench.later(MORNING)
    bench.read_cautions()
    with pytest.raises(InputError, match="higher than"):
        bench.reply({"after": "240 psi"})
    assert bench.prompt.id == f"second:{NIGHT}"


def test_a_quarter_of_an_hour_is_waited_for_at_the_bench() -> None:
    bench = Bench()
    bench.talk.reasoner.check = "bench_short_gauge"  # type: ignore[attr-defined]
    bench.read_cautions()
    assert bench.prompt.id == "bench_short_gauge"
    assert "read_later" not in [answer.state for answer in bench.prompt.answers]


def test_a_check_that_would_end_the_wait_says_so() -> None:
    bench = Bench()
    bench.begin()
    bench.reply("meanwhile")
    bench.talk.reasoner.check = "bench_short_gauge"  # type: ignore[attr-defined]
    bench.read_cautions()
    assert "does not count after it" in bench.prompt.steps[0]


@given(st.floats(1e-3, 2000.0))
def test_a_span_in_words_is_the_span(hours: float) -> None:
    check = shop_reasoner().knowledge.checks[NIGHT]
    assert check.reading is not None
    typed = awaiting.formulas.read_all(check.reading.quantity, {"elapsed": hours_words(hours)})
    assert typed["elapsed"].value == pytest.approx(3600.0 * hours, abs=31.0)


@pytest.mark.parametrize("now", ["", "soon", EVENING, "2031-04-12T17:59:59+00:00"])
def test_no_time_has_passed_by_a_clock_that_does_not_tell(now: str) -> None:
    assert between(Begun(ask="x", readings={}, time=EVENING), now) is None


def test_examples_are_true() -> None:
    assert doctest.testmod(awaiting).failed == 0
