"""Where papers point: the likeliest places, in the state of the job, and nowhere if nothing is."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.job.events import Event, Happened, Stepped
from diagnose.reports.check_list import check_list
from diagnose.reports.job_sheet import job_sheet
from diagnose.reports.paper import Cutaway, Document
from diagnose.reports.pointing import section_of, suspected, where
from diagnose.reports.referral import referral
from diagnose.reports.ticket import ticket
from diagnose.symptom_graph.variants import steps_of
from tests.kettle import kettle_reasoner
from tests.reports.jobs import judged
from tests.reports.pages import knowledge, read
from tests.reports.test_check_list import LISTED
from tests.reports.test_job_sheet import DAMPER, one_line
from tests.reports.test_ticket import STUCK

LEAK: dict[str, Any] = {
    "complaint": "it loses air",
    "at": "bench",
    "answers": {"bench_bubbles_valve": "stream", "bench_bubbles_wiper": "none"},
}


def pictures(document: Document) -> list[Cutaway]:
    return [part for part in document.parts if isinstance(part, Cutaway)]


def test_the_likeliest_cause_is_where_it_is_pointed_to() -> None:
    judgement, job = judged(DAMPER)
    first = judgement.causes[0]
    picture = suspected(judgement, knowledge(), job)
    assert picture is not None and first.probability >= 0.5
    assert picture.title == "Most likely here"
    assert set(picture.marked) == set(knowledge().causes[first.id].points_to)


def test_where_several_are_as_likely_it_may_be_at_each_of_them() -> None:
    judgement, job = judged({"complaint": "it loses air overnight"})
    likely = [cause for cause in judgement.causes if 0.15 <= cause.probability < 0.5]
    picture = suspected(judgement, knowledge(), job)
    assert picture is not None and picture.title == "It may be here"
    assert set(knowledge().causes[likely[0].id].points_to) <= set(picture.marked)


def test_nothing_is_pointed_at_where_nothing_is_likely() -> None:
    judgement, job = judged({})
    lost = judgement.model_copy(update={"causes": [], "no_fault": 0.9})
    assert suspected(lost, knowledge(), job) is None
    whole = suspected(lost, knowledge(), job, whole=True)
    assert whole is not None and whole.marked == ()


def test_a_pack_without_a_drawing_has_no_picture_and_no_place() -> None:
    kettle = kettle_reasoner().knowledge
    assert section_of(kettle, ["lid"], whole=True) is None
    assert where(kettle, ["lid"]) == ""


def done_up_to(mark: str) -> tuple[dict[str, Any], list[Event]]:
    """A job of which the sheet is done to the step that achieves this."""
    judgement, job = judged(DAMPER)
    sheet = knowledge().sheets[judgement.stage.sheet]
    events: list[Event] = []
    for number in steps_of(sheet, job.shock):
        step = sheet.steps[number]
        events.append(Stepped(stage=sheet.id, number=number))
        kept = [a for a in (*step.does, *step.marks) if a in knowledge().device.kept]
        events += [Happened(what=act) for act in kept]
        if mark in step.marks:
            return DAMPER, events
    raise AssertionError(mark)


def test_gas_is_drawn_on_the_papers_until_it_was_proved_gone() -> None:
    device = knowledge().device
    data, events = done_up_to("air_proved_empty")
    judgement, job = judged(data, *events)
    assert job.chambers(device) == {**device.all_full(), "air": False}
    for document in (job_sheet(judgement, job, knowledge()), referral(judgement, job, knowledge())):
        (picture,) = pictures(document)
        notes = picture.section.notes
        assert sorted(notes.values()) == ["found empty", "may hold pressure", "may hold pressure"]
        assert {s.of for s in picture.section.solids if s.part == "positive_side"} == {"empty"}
        assert "found empty" in document.page() and "proved empty" in document.page()


def test_each_step_that_handles_a_part_names_its_number_on_the_one_picture() -> None:
    judgement, job = judged(DAMPER)
    document = job_sheet(judgement, job, knowledge())
    (picture,) = pictures(document)
    sheet = knowledge().sheets[judgement.stage.sheet]
    text = one_line(document.text(80))
    drawn = one_line(read(document.page()).text)
    for number in steps_of(sheet, job.shock):
        for part in sheet.steps[number].points_to:
            name = f"{picture.section.number(part)} {knowledge().parts[part].name}"
            assert name in text and name in drawn, name


def test_the_check_list_marks_what_its_checks_look_at() -> None:
    document = check_list(LISTED, 7, knowledge())
    (picture,) = pictures(document)
    looked = {part for prompt in LISTED for part in knowledge().points_to(prompt.id)}
    assert looked and set(picture.section.marked) == looked
    for prompt in LISTED:
        place = where(knowledge(), knowledge().points_to(prompt.id))
        assert not place or f"Look at: {place}." in one_line(document.text(80))


def test_the_ticket_shows_the_place_and_nothing_of_what_must_stay_shut() -> None:
    judgement, job = judged(LEAK)
    (picture,) = pictures(ticket(judgement, job, knowledge()))
    assert picture.named == "marked" and picture.section.marked
    shut, short = judged(STUCK)
    assert shut.shut and pictures(ticket(shut, short, knowledge())) == []


@pytest.mark.parametrize("width", [24, 32, 40])
def test_a_picture_on_a_roll_keeps_to_its_width(width: int) -> None:
    judgement, job = judged(LEAK)
    lines = ticket(judgement, job, knowledge()).text(width).splitlines()
    assert max(map(len, lines)) <= width
