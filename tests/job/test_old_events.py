"""Jobs as an earlier version stored them open, fold to what they meant, and go on where they were.

`stored_jobs/marks_in_skipped.jsonl` was exported by the version before these kinds had names of
their own; beside it stands which prompt that version showed next, with the same fixed advice. In
`office_in_described.jsonl` the facts of the office lie among the fields of the shock; beside it
stands what that version showed of them.
"""

from __future__ import annotations

import doctest
import io
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from diagnose.cli.jobs import intake_words
from diagnose.conversation.conversation import Conversation
from diagnose.job import facts, old_events
from diagnose.job.ending import Ending
from diagnose.job.events import (
    Answered,
    Closed,
    Described,
    Event,
    Filed,
    HandedOver,
    NoteLeft,
    Opened,
    Skipped,
    Withdrawn,
)
from diagnose.job.facts import OFFICE_FIELDS, Facts
from diagnose.job.old_events import read_event
from diagnose.job.state import Choices, JobState, fold, undoable
from diagnose.job.tag import top_line
from diagnose.reasoning.open_options import asked_at_counter
from diagnose.reasoning.options import answers, find_card
from diagnose.records.exchange import export_jsonl, import_jsonl
from diagnose.records.places import open_store
from diagnose.records.rows import body_of, checksum, event_of
from diagnose.records.summary import summarise
from diagnose.reports.exports import row_of
from tests.real_pack import shop_reasoner
from tests.reasoning.fixed_advice import FixedAdvice
from tests.safety.attack import stubbed

_STORED = Path(__file__).parent / "stored_jobs"
_LINES = (_STORED / "marks_in_skipped.jsonl").read_text("utf-8").splitlines()
_OFFICE = [
    json.loads(line)
    for line in (_STORED / "office_in_described.jsonl").read_text("utf-8").splitlines()
]
_SHOWN: dict[str, dict[str, Any]] = json.loads(
    (_STORED / "office_in_described.expected.json").read_text("utf-8")
)
_THEN: dict[str, dict[str, Any]] = json.loads(
    (_STORED / "marks_in_skipped.expected.json").read_text("utf-8")
)
_RAW: dict[str, list[dict[str, Any]]] = {
    line["job"]: line["events"] for line in map(json.loads, _LINES)
}
JOBS = sorted(_RAW)

AIR, NIGHT, SPACERS = "air_can_service", "bench_overnight_gauge", "bench_spacers"

#: what the marks of each job meant
CHOSEN = {
    "asleep": Choices(),
    "check_not_ready": Choices(),
    "check_ready": Choices(ready_checks=frozenset({SPACERS})),
    "closing_begun": Choices(ending=Ending()),
    "closing_taken_back": Choices(),
    "first_half": Choices(first_halves=(NIGHT,)),
    "look_and_note_left": Choices(look_left=True, note_left=True),
    "look_left": Choices(look_left=True),
    "look_left_handed_over": Choices(),
    "meanwhile": Choices(gone_on=frozenset({NIGHT})),
    "note_left": Choices(note_left=True),
    "note_left_at_bench": Choices(note_left=True),
    "question_left": Choices(),
    "read_now": Choices(second_halves=frozenset({NIGHT})),
    "read_now_given_up": Choices(),
    "second_half": Choices(),
    "sheet_chosen": Choices(sheets=(AIR,)),
    "sheet_in_hand": Choices(sheets=(AIR,)),
    "sheet_second": Choices(sheets=(AIR,)),
    "sheet_stopped": Choices(sheets=(AIR,), ending=Ending()),
    "words_left": Choices(words_left=True),
}

#: what was really left out: a question or a check
LEFT_OUT = {"check_not_ready": (SPACERS,), "question_left": ("said_air_loss",)}


def read(name: str) -> list[Event]:
    """The events as they are read from rows of a store."""
    bodies = [json.dumps(event) for event in _RAW[name]]
    return [
        event_of(name, number, body, checksum(name, number, body), where="here")
        for number, body in enumerate(bodies)
    ]


@pytest.mark.parametrize("name", JOBS)
def test_each_event_keeps_its_number_its_time_and_its_person(name: str) -> None:
    events = read(name)
    stamps = [(event["time"], event["person"]) for event in _RAW[name]]
    assert [(event.time, event.person) for event in events] == stamps
    assert undoable(events) == _THEN[name]["undoable"]
    assert [event for event in events if event.kind == "withdrawn"] == [
        read_event(json.dumps(event)) for event in _RAW[name] if event["kind"] == "withdrawn"
    ]


@pytest.mark.parametrize("name", JOBS)
def test_the_marks_mean_what_they_meant(name: str) -> None:
    job = fold(read(name))
    assert job.choices == CHOSEN[name]
    assert job.skipped == LEFT_OUT.get(name, ())


@pytest.mark.parametrize("name", JOBS)
def test_a_stored_job_goes_on_where_it_was(name: str) -> None:
    then = _THEN[name]
    reasoner = FixedAdvice(then["advice"], then["stage"], then["understood"])
    with stubbed():
        prompt = Conversation(reasoner).prompt(read(name), "AB")  # type: ignore[arg-type]
    assert (prompt.kind, prompt.id) == (then["kind"], then["prompt"])


def test_only_what_was_left_out_is_still_stored_as_left_out(tmp_path: Path) -> None:
    """One word stays: that a check which sleeps was left out is told from its first half alone."""
    with open_store(tmp_path / "jobs") as store:
        moved = import_jsonl(store, _LINES, where="old.jsonl")
        assert len(moved.added) == len(JOBS)
        there = {job.uid: job.events for job in store.all_jobs()}
        for line in map(json.loads, _LINES):
            assert there[line["uid"]] == read(line["job"])
        again = import_jsonl(store, _LINES, where="old.jsonl")
        assert len(again.unchanged) == len(JOBS), "an old copy is the same job"
        out = io.StringIO()
        export_jsonl(store, out)
    left = {
        event["ask"]
        for line in map(json.loads, out.getvalue().splitlines())
        for event in line["events"]
        if event["kind"] == "skipped"
    }
    assert left == {SPACERS, "said_air_loss", NIGHT}


def test_what_is_written_today_is_read_as_it_was_written() -> None:
    for name in JOBS:
        for event in read(name):
            assert read_event(body_of(event)) == event


def answered(job: JobState) -> float:
    """How often the people of a job answer a question of its desk."""
    compiled = shop_reasoner().compiled
    return answers(compiled, find_card(compiled, "said_creak"), "customer", job)


def test_a_note_left_out_costs_no_question() -> None:
    """It counted as a question of the counter, and as one that nobody could answer."""
    reasoner = shop_reasoner()
    with_note, without = fold(read("note_left")), fold(read("note_left")[:-1])
    assert with_note.choices.note_left and not without.choices.note_left
    assert answered(with_note) == answered(without)
    one, other = reasoner.view(with_note), reasoner.view(without)
    assert asked_at_counter(reasoner.knowledge, with_note) == 0
    assert asked_at_counter(reasoner.knowledge, without) == 0
    prices = [[o.price for o in view.advice.options] for view in (one, other)]
    assert prices[0] == prices[1]


def test_a_look_left_out_counts_as_one_look() -> None:
    reasoner = shop_reasoner()
    look, both = fold(read("look_left")), fold(read("look_and_note_left"))
    assert [asked_at_counter(reasoner.knowledge, job) for job in (look, both)] == [1, 1]
    assert answered(look) == answered(both) < answered(replace(look, choices=Choices()))


def test_going_on_while_a_check_sleeps_leaves_nothing_out() -> None:
    job = fold(read("meanwhile"))
    assert NIGHT in job.dealt_with
    assert answered(job) == answered(replace(job, awaited=None))


@pytest.mark.parametrize("ask", ["sheet:", "look:look_mounts", "decide", "understood", ""])
def test_other_words_stay_what_they_are(ask: str) -> None:
    assert read_event(json.dumps({"kind": "skipped", "ask": ask})) == Skipped(ask=ask)


@pytest.mark.parametrize("body", ['{"kind": "skipped"}', '{"kind": "tuned"}', "[]", '"found"'])
def test_what_is_no_event_is_refused(body: str) -> None:
    with pytest.raises(ValidationError):
        read_event(body)


@pytest.mark.parametrize("line", _OFFICE, ids=lambda line: str(line["job"]))
def test_facts_among_the_fields_of_a_shock_are_the_offices(line: dict[str, Any]) -> None:
    name, then = line["job"], _SHOWN[line["job"]]
    events = [read_event(json.dumps(event)) for event in line["events"]]
    job = fold(events)
    assert not job.shock.keys() & OFFICE_FIELDS
    assert {**job.shock, **job.facts.known()} == then["shock"]
    assert top_line(name, job, shop_reasoner().knowledge.device) == then["top_line"]
    assert intake_words(job) == then["intake_words"]
    assert row_of(name, events, {"air": 50.0}) == then["row"]
    assert sorted(summarise(name, events)["words"].split()) == then["words"]


@pytest.mark.parametrize("line", _OFFICE, ids=lambda line: str(line["job"]))
def test_filed_today_they_come_to_the_same(line: dict[str, Any]) -> None:
    """Each old event as those that are written now: the shock's own fields, then the office's."""
    older: list[Event] = [read_event(json.dumps(event)) for event in line["events"]]
    if any(isinstance(event, Withdrawn) for event in older):
        older = [e for e in older if not isinstance(e, Withdrawn | Closed)]
    today: list[Event] = []
    for event in older:
        if isinstance(event, Described):
            own = {n: v for n, v in event.shock.items() if n not in OFFICE_FIELDS}
            kept = {n: v for n, v in event.shock.items() if n in OFFICE_FIELDS}
            today += [Described(shock=own), Filed(facts=Facts.model_validate(kept))]
        else:
            today.append(event)
    one, other = fold(older), fold(today)
    assert (one.shock, one.facts) == (other.shock, other.facts)


def test_a_later_fact_leaves_the_others_and_is_not_taken_back_by_a_key() -> None:
    events: list[Event] = [
        Filed(facts=Facts(tag="31", same_bike=["1"])),
        Filed(facts=Facts(same_bike=["1", "2"])),
    ]
    assert fold(events).facts == Facts(tag="31", same_bike=["1", "2"])
    assert undoable(events) is None, "back takes back what was answered, not what came in"
    assert fold([*events, Withdrawn(number=1)]).facts.same_bike == ["1"]


def test_to_file_something_is_no_work_at_the_bench() -> None:
    bench: list[Event] = [Opened(pack="p", knowledge=""), HandedOver(to="AB", at="bench")]
    assert not fold([*bench, Filed(facts=Facts(comeback_of="1"))]).begun
    assert not fold([*bench, NoteLeft()]).begun
    assert fold([*bench, Answered(ask="a", state="b", by="bench")]).begun


def test_examples_are_true() -> None:
    assert doctest.testmod(old_events).failed == 0
    assert doctest.testmod(facts).failed == 0
