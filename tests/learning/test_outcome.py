"""What came of a job, in one line."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from diagnose.job.events import (
    Answered,
    Closed,
    Complained,
    Event,
    Filed,
    Judged,
    Measured,
    Opened,
    Withdrawn,
)
from diagnose.job.facts import Facts
from diagnose.learning.outcome import Outcome, outcome_of

FIRST = Opened(pack="p", knowledge="k", time="2031-04-12T09:00:00")


def judged(stage: str, *symptoms: dict[str, object], **causes: float) -> Judged:
    lines = [{"id": cause, "probability": chance} for cause, chance in causes.items()]
    said = {"stage": {"id": stage, "minutes": 40.0, "parts": 12}, "causes": lines}
    return Judged(judgement={**said, "symptoms": list(symptoms)})


def test_an_open_job_has_none() -> None:
    assert outcome_of([FIRST, judged("small")]) is None


def test_all_that_counts_is_kept_and_no_word() -> None:
    events: list[Event] = [
        FIRST,
        Complained(text="sinks, says the rider"),
        Filed(facts=Facts(customer="77", parts_cost=9.5, comeback_of="0411-01")),
        judged("small", worn=0.6, torn=0.3),
        Answered(ask="look", state="torn", by="bench"),
        judged("large", worn=0.2, torn=0.7),
        Closed(found=["torn"], stage="large", minutes=50, cured=True, words="a hair", time="later"),
    ]
    outcome = outcome_of(events)
    assert outcome == Outcome(
        pack="p",
        opened="2031-04-12T09:00:00",
        closed="later",
        found=("torn",),
        stage="large",
        minutes=50.0,
        cured=True,
        facts={"parts_cost": 9.5, "comeback_of": "0411-01"},
        call="large",
        call_minutes=40.0,
        call_parts=12.0,
        believed={"worn": 0.2, "torn": 0.7},
        reports=(("look", "bench", "torn"),),
        moved=(("look", True),),
    )
    text = outcome.to_text()
    assert Outcome.from_text(text) == outcome
    for word in ("rider", "hair", "77"):
        assert word not in text


def test_a_reading_stands_as_the_state_that_was_made_of_it() -> None:
    read = Measured(ask="gauge", readings={"first": "90 psi"})
    line = {"id": "gauge", "by": "bench", "state": "low"}
    unasked = {"id": "said_low", "by": "customer", "state": "yes", "words": "it sinks"}
    outcome = outcome_of([FIRST, read, judged("small", line, unasked), Closed(found=[])])
    assert outcome is not None
    assert outcome.reports == (("gauge", "bench", "low"),)
    unjudged = outcome_of([FIRST, read, Closed(found=[])])
    assert unjudged is not None
    assert unjudged.reports == ()


def test_the_later_answer_counts_and_one_that_was_taken_back_does_not() -> None:
    events = [
        FIRST,
        Answered(ask="a", state="yes"),
        Answered(ask="a", state="no"),
        Answered(ask="b", state="yes"),
        Withdrawn(number=3),
        Closed(found=["worn"]),
    ]
    outcome = outcome_of(events)
    assert outcome is not None
    assert outcome.reports == (("a", "customer", "no"),)


def test_checks_between_two_judgements_moved_the_call_or_did_not() -> None:
    events = [
        FIRST,
        Answered(ask="before_any", state="yes"),
        judged("small"),
        Answered(ask="idle", state="yes"),
        judged("small"),
        Answered(ask="one", state="yes"),
        Answered(ask="two", state="yes"),
        judged("large"),
        Closed(found=[]),
    ]
    outcome = outcome_of(events)
    assert outcome is not None
    assert outcome.moved == (("idle", False), ("one", True), ("two", True))


@given(
    found=st.lists(st.text(max_size=5)),
    minutes=st.none() | st.floats(0, 1e6),
    cured=st.none() | st.booleans(),
    believed=st.dictionaries(st.text(max_size=5), st.floats(0, 1)),
    moved=st.lists(st.tuples(st.text(max_size=5), st.booleans())),
)
def test_there_and_back(
    found: list[str],
    minutes: float | None,
    cured: bool | None,
    believed: dict[str, float],
    moved: list[tuple[str, bool]],
) -> None:
    outcome = Outcome(
        found=tuple(found), minutes=minutes, cured=cured, believed=believed, moved=tuple(moved)
    )
    assert Outcome.from_text(outcome.to_text()) == outcome


def test_a_reading_is_the_state_of_its_own_check_whatever_else_followed_from_it() -> None:
    """A gauge that is off says something of the pressure too; that is no answer of the check."""
    lines = [
        {"id": "gauge", "by": "bench", "state": "yes"},
        {"id": "gauge", "by": "bench", "state": "over_max"},
    ]
    read = Measured(ask="gauge", readings={"rider": "120 psi", "shop": "145 psi"}, by="bench")
    outcome = outcome_of([FIRST, read, judged("small", *lines), Closed(found=["worn"])])
    assert outcome is not None and outcome.reports == (("gauge", "bench", "yes"),)
