"""The card that goes back with the shock."""

from __future__ import annotations

import pytest

from diagnose.job.events import Closed, Filed, Happened, Measured
from diagnose.job.facts import Facts
from diagnose.reports.handover import handover
from tests.reports.jobs import judged
from tests.reports.pages import knowledge, read

JOB = {"complaint": "it loses air overnight", "at": "bench", "shock": {"set_pressure": "165 psi"}}
CLOSED = Closed(found=["can_seal_worn"], stage="air_can_service", minutes=40, cured=True)


def one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("width", [32, 42, 80])
def test_found_done_and_tested_are_said_within_the_width(width: int) -> None:
    judgement, job = judged(JOB, CLOSED)
    text = handover(judgement, job, knowledge()).text(width)
    assert max(map(len, text.splitlines())) <= width
    assert knowledge().causes["can_seal_worn"].plain in one_line(text)
    assert "What was done: air can service" in one_line(text)
    assert "own test was repeated and passed" in one_line(text)


def test_as_left_is_what_was_noted_and_blank_where_nothing_was() -> None:
    left = Filed(facts=Facts(as_left={"sag": "16 mm"}))
    judgement, job = judged(JOB, left, CLOSED)
    text = one_line(handover(judgement, job, knowledge()).text(80))
    assert "as left: 16 mm" in text
    assert "165 psi was told as usual as left: ______" in text


def test_a_reading_after_the_work_is_not_taken_for_one_as_found() -> None:
    after = Measured(ask="bench_sag", readings={"sag": "15 mm", "stroke": "55 mm"})
    judgement, job = judged(JOB, Happened(what="vented"), after, CLOSED)
    text = one_line(handover(judgement, job, knowledge()).text(80))
    assert text.index("Read after the work began") < text.index(
        "sag measured, travel of the O-ring"
    )
    assert "bench sag" not in text, "no id of the code"
    assert "as left: 15 mm" in text, "sag, read after the work began"
    judgement, job = judged(JOB, after, CLOSED)
    assert "Read after the work began" not in handover(judgement, job, knowledge()).text(80)


def test_an_open_job_says_so_and_the_page_is_sound() -> None:
    judgement, job = judged(JOB)
    page = read(handover(judgement, job, knowledge(), name="0412-03").page("receipt"))
    assert page.faults == []
    assert "not closed yet" in page.text


@pytest.mark.parametrize(
    ("closed", "said"),
    [
        (Closed(found=["not_looked"], ended="not_collected"), "It was not collected."),
        (Closed(found=["not_looked"], ended="referred"), "It was referred to another shop."),
        (Closed(found=["not_looked"]), "Nobody looked."),
        (Closed(), "Nothing was wrong with it."),
    ],
)
def test_what_nobody_looked_at_is_not_called_sound(closed: Closed, said: str) -> None:
    judgement, job = judged(JOB, closed)
    text = one_line(handover(judgement, job, knowledge()).text(80))
    assert said in text
    assert said.startswith("Nothing") or "Nothing was wrong" not in text
