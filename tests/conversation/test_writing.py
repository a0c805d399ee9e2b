"""What a sheet asks for is typed at its step, once, and stands on the card that goes back."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.conversation.conversation import Conversation
from diagnose.conversation.prompts import Prompt
from diagnose.errors import InputError
from diagnose.job.events import (
    Approved,
    Closed,
    Described,
    Event,
    Measured,
    Opened,
    Recorded,
    SheetChosen,
)
from diagnose.job.state import fold
from diagnose.reasoning.judgement import judge
from diagnose.reports.handover import handover
from diagnose.reports.job_sheet import job_sheet
from diagnose.symptom_graph.routes import sheet_cautions
from tests.real_pack import PACKS, pack_knowledge, shop_reasoner

SHEET = "no_service"


@pytest.fixture(scope="module")
def talking() -> Conversation:
    return Conversation(shop_reasoner())


def begun() -> list[Event]:
    return [
        Opened(pack="rear_air_shock", knowledge="", at="bench"),
        Measured(ask="bench_pressure", readings={"gauge": "120 psi"}, by="bench"),
        Approved(stages=[SHEET]),
        SheetChosen(stage=SHEET),
    ]


def at_step(talking: Conversation, events: list[Event]) -> Prompt:
    """The prompt of a step, its cautions read."""
    prompt = talking.prompt(events)
    while prompt.kind == "caution":
        events += talking.reply(events, prompt, prompt.answers[0].key)
        prompt = talking.prompt(events)
    assert prompt.id.startswith("step:"), prompt.id
    return prompt


def test_a_step_shows_its_lines_and_proposes_what_was_read(talking: Conversation) -> None:
    prompt = at_step(talking, begun())
    lines = {line.name: line for line in prompt.readings}
    assert lines["air pressure as found"].proposed == "120 psi"
    assert lines["sag as found"].proposed == "" and lines["sag as found"].optional


def test_what_is_written_stays_at_the_step_and_is_not_asked_again(talking: Conversation) -> None:
    events = begun()
    prompt = at_step(talking, events)
    new = talking.reply(events, prompt, {"sag as found": "  19   mm ", "air pressure as found": ""})
    assert new[-1] == Recorded(stage=SHEET, number=0, values={"sag as found": "19 mm"})
    events += new
    again = at_step(talking, events)
    assert again.id == prompt.id and "sag as found" not in {r.name for r in again.readings}
    assert "sag as found: 19 mm" in again.steps
    events += talking.reply(events, again, "done")
    assert at_step(talking, events).id != prompt.id


@pytest.mark.parametrize(
    ("value", "says"),
    [({"colour": "red"}, "not written down here"), ({}, "nothing was written"),
     ({"sag as found": " "}, "nothing was written"), ({"sag as found": "x" * 300}, "too long")],
)  # fmt: skip
def test_what_no_line_takes_is_refused(
    value: dict[str, Any], says: str, talking: Conversation
) -> None:
    events = begun()
    with pytest.raises(InputError, match=says):
        talking.reply(events, at_step(talking, events), value)


def test_it_stands_on_the_card_and_on_the_sheet(talking: Conversation) -> None:
    knowledge = talking.reasoner.knowledge
    rows = {
        "sag as found": "19 mm",
        "rebound clicks from closed as left": "6",
        "the complaint's own test as left": "silent over the curb",
        "settings handed to the rider": "yes, AB",
    }
    closed = Closed(found=[], stage=SHEET, minutes=12)
    events = [*begun(), Recorded(stage=SHEET, number=0, values=rows), closed]
    job = fold(events)
    judgement = judge(talking.reasoner, talking.reasoner.view(job))
    card = " ".join(handover(judgement, job, knowledge).text(100).split())
    assert "19 mm" in card and "silent over the curb" in card and "120 psi" in card
    assert "not repeated" not in card, "the test was written down as done"
    assert "settings handed to the rider" in card


def test_the_job_sheet_has_it_in_its_line(talking: Conversation) -> None:
    reasoner = talking.reasoner
    planned = judge(reasoner, reasoner.view(fold(begun()))).stage.sheet
    note = Recorded(stage=planned, number=0, values={"sag as found": "19 mm"})
    job = fold([*begun(), note])
    paper = job_sheet(judge(reasoner, reasoner.view(job)), job, reasoner.knowledge).text(100)
    assert "19 mm" in paper


def test_no_record_is_known_by_two_names() -> None:
    """'Sag as found' on one sheet and 'sag where it was measured' on the next fill two places."""
    for reasoner in (shop_reasoner(),):
        both = {
            f"{thing} as {time}"
            for thing in reasoner.knowledge.device.papers.both_times
            for time in ("found", "left")
        }
        written = {
            record
            for sheet in reasoner.knowledge.sheets.values()
            for number, _ in sheet_cautions(reasoner.knowledge, sheet, {})
            for record in sheet.steps[number].records
        }
        assert len(both & written) >= 10, sorted(both - written)


@pytest.mark.parametrize(
    ("typed", "kept"), [("19", "19 mm"), ("1.9 cm", "1.9 cm"), (" 19  mm", "19 mm")]
)
def test_a_number_counts_in_the_unit_beside_it(
    typed: str, kept: str, talking: Conversation
) -> None:
    events = begun()
    prompt = at_step(talking, events)
    assert next(r.unit for r in prompt.readings if r.name == "sag as found") == "mm"
    assert talking.take(prompt, "sag as found", typed)[0] == kept
    new = talking.reply(events, prompt, {"sag as found": typed})
    assert isinstance(new[-1], Recorded) and new[-1].values == {"sag as found": kept}


@pytest.mark.parametrize(("typed", "says"), [("abc", "number"), ("19 psi", "unit"), ("900", "be")])
def test_a_number_that_cannot_be_is_refused_by_every_door(
    typed: str, says: str, talking: Conversation
) -> None:
    events = begun()
    prompt = at_step(talking, events)
    with pytest.raises(InputError, match=says):
        talking.take(prompt, "sag as found", typed)
    with pytest.raises(InputError, match=says):
        talking.reply(events, prompt, {"sag as found": typed})


def test_what_was_only_told_as_usual_is_proposed_as_no_reading(talking: Conversation) -> None:
    events = [e for e in begun() if not isinstance(e, Measured)]
    events.insert(1, Described(shock={"set_pressure": 165.0}))
    lines = {line.name: line for line in at_step(talking, events).readings}
    assert lines["air pressure as found"].proposed == ""


@pytest.mark.parametrize("pack", PACKS)
def test_torque_depth_and_charge_are_numbers_in_every_pack(pack: str) -> None:
    quantities = pack_knowledge(pack).device.papers.quantities
    records = {
        record
        for sheet in pack_knowledge(pack).sheets.values()
        for step in sheet.steps
        for record in step.records
    }
    wanted = {r for r in records if r.startswith(("torque of", "depth set", "charge as"))}
    assert wanted and wanted - {*quantities} <= {"torque of the drive's bolts"}
