"""The mechanic's sheet: cautions before their step, readings drawn, the shop's values or blanks."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.job.events import Closed, Filed, Stepped
from diagnose.job.facts import Facts
from diagnose.reports.job_sheet import job_sheet, job_sheet_parts
from diagnose.reports.paper import Head, Items, StepPart, Warn
from diagnose.symptom_graph.cautions import required_cautions
from tests.reports.jobs import NASTY, judged
from tests.reports.pages import knowledge, read

LEAK: dict[str, Any] = {
    "complaint": "it loses air overnight",
    "at": "bench",
    "shock": {"stroke_mm": 55, "set_pressure": "165 psi"},
    "answers": {
        "bench_short_gauge": {"before": "165 psi", "after": "140 psi", "elapsed": "30 min"}
    },
}
DAMPER: dict[str, Any] = {
    "complaint": "oil in drops on the shaft, it squelches and has lost its damping",
    "at": "bench",
    "answers": {"bench_oil_slider": "drops"},
}


def one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("width", [32, 42, 80])
def test_the_sheet_keeps_to_its_width(width: int) -> None:
    judgement, job = judged(LEAK)
    text = job_sheet(judgement, job, knowledge(), name="0412-03").text(width)
    assert max(map(len, text.splitlines())) <= width


def test_a_reading_is_printed_as_typed_with_its_arithmetic_and_its_picture() -> None:
    judgement, job = judged(LEAK)
    text = one_line(job_sheet(judgement, job, knowledge()).text(80))
    assert "before: 165 psi" in text
    assert "25 psi gone" in text  # 165 - 140
    page = read(job_sheet(judgement, job, knowledge()).page())
    assert "svg" in page.tags
    assert page.faults == []


@pytest.mark.parametrize("data", [LEAK, DAMPER])
def test_each_step_carries_all_its_cautions_before_what_is_done(data: dict[str, Any]) -> None:
    judgement, job = judged(data)
    parts = job_sheet_parts(judgement, job, knowledge())
    steps = [p for p in parts if isinstance(p, StepPart) and p.title.startswith("Step ")]
    cards = [
        (n == 0, s)
        for line in [judgement.stage, *judgement.also_stages]
        for n, s in enumerate(knowledge().sheets[line.sheet].steps)
    ]
    assert len(steps) == len(cards) > 0
    said = {p.caution.id for p in parts if isinstance(p, Warn)}
    chambers: dict[str, bool] = {}
    for shown, (begins, card) in zip(steps, cards, strict=True):
        # What an earlier step of the same sheet proved empty is empty; nothing else is.
        chambers = {} if begins else chambers
        wanted = required_cautions(knowledge(), [*card.does, *card.marks], chambers)
        for act in [*card.does, *card.marks]:
            chambers = knowledge().device.after(chambers, act)
        first = [p for p in shown.parts[: len(wanted)] if isinstance(p, Warn)]
        assert [p.caution for p in first] == wanted
        # Whole the first time on the page, with its first sentence after that.
        assert [p.again for p in first] == [p.caution.id in said for p in first]
        said |= {p.caution.id for p in first}


def test_a_value_of_the_shops_sheet_is_printed_and_a_missing_one_is_a_blank() -> None:
    judgement, job = judged(DAMPER)
    bare = one_line(job_sheet(judgement, job, knowledge()).text(80))
    assert "gas charge, from this shock's own sheet: ___" in bare
    values = {"charge_psi": 250.0, "ifp_depth_mm": 38.0}
    put_to = Filed(facts=Facts(sheet="trail-55", sheet_values=values))
    judgement, job = judged(DAMPER, put_to)
    text = one_line(job_sheet(judgement, job, knowledge()).text(80))
    assert "gas charge, from the sheet: 250 psi" in text
    assert "seal head torque, from this shock's own sheet: ___" in text


def test_a_shock_that_is_not_opened_gets_no_opening_sheet() -> None:
    judgement, job = judged({"at": "bench", "answers": {"said_short_before_air_out": "yes"}})
    assert judgement.stage.id == "do_not_open"
    heads = [p.text for p in job_sheet_parts(judgement, job, knowledge()) if isinstance(p, Head)]
    assert [h for h in heads if h.startswith("Sheet: ")] == [
        f"Sheet: {knowledge().stages['do_not_open'].name}"
    ]


def test_what_the_shop_cannot_close_again_gets_the_referral_sheet_instead() -> None:
    judgement, job = judged(DAMPER)
    lacking = {line.id: ["nitrogen"] for line in [judgement.stage, *judgement.also_stages]}
    parts = job_sheet_parts(judgement, job, knowledge(), lacking)
    heads = [p.text for p in parts if isinstance(p, Head) and p.text.startswith("Sheet: ")]
    assert heads == [f"Sheet: {knowledge().stages[knowledge().device.stages.refer].name}"]


def test_what_is_expected_inside_is_printed_with_the_plan() -> None:
    judgement, job = judged(LEAK)
    inside = [text for line in [judgement.stage, *judgement.also_stages] for text in line.inside]
    said = [t for p in job_sheet_parts(judgement, job, knowledge()) if isinstance(p, Items)
            for t in p.items]  # fmt: skip
    assert inside and {*inside} <= {*said}


def test_a_step_that_is_done_is_marked() -> None:
    judgement, _ = judged(LEAK)
    stage = judgement.stage.id
    judgement, job = judged(LEAK, Stepped(stage=stage, number=0))
    text = job_sheet(judgement, job, knowledge()).text(80)
    count = len(knowledge().stages[stage].steps)
    assert f"Step 1 of {count} (done)" in text
    assert f"Step 2 of {count} (to do)" in text


def test_nasty_words_are_harmless() -> None:
    judgement, job = judged({"complaint": NASTY, "shock": {"history": NASTY}, "at": "bench"})
    text = job_sheet(judgement, job, knowledge()).text(32)
    assert max(map(len, text.splitlines())) <= 32
    assert "\x1b" not in text
    assert "script" not in read(job_sheet(judgement, job, knowledge()).page()).tags


def test_a_closed_job_has_its_end_on_the_sheet() -> None:
    cost = Filed(facts=Facts(parts_cost=18))
    closed = Closed(found=["can_seal_worn"], stage="air_can_service", minutes=40, cured=True)
    judgement, job = judged(LEAK, cost, closed)
    text = one_line(job_sheet(judgement, job, knowledge()).text(80)).partition(" Closing ")[2]
    assert knowledge().causes["can_seal_worn"].name in text
    assert "Parts used: 18 EUR" in text and "Minutes: 40" in text and "passed" in text
