"""The foreman's report: sums checked by hand on a few invented jobs, and their page."""

from __future__ import annotations

import doctest
from typing import Any

import pytest

from diagnose.job.events import Answered, Closed, Event, Filed, Judged, Opened
from diagnose.job.facts import Facts
from diagnose.learning.outcome import Outcome, outcome_of
from diagnose.reports import foreman
from diagnose.reports.foreman import foreman_report
from diagnose.reports.foreman_figures import ForemanFigures
from tests.reports.pages import knowledge, read

SEAL, DAMPER, CHECK = "can_seal_worn", "shaft_seal_leak", "bench_sag"
AIR, DEEPER = "air_can_service", "damper_service"
DAY = "2031-04-12T09:00:00"


def said(stage: str, chance: float = 0.7, cause: str = SEAL) -> Judged:
    judgement: dict[str, Any] = {
        "stage": {"id": stage, "minutes": 40.0, "parts": 10.0},
        "causes": [
            {"id": cause, "probability": chance},
            {"id": "bushing_worn", "probability": 0.1},
        ],
    }
    return Judged(judgement=judgement, time=DAY)


def job(*events: Event) -> list[Event]:
    return [Opened(pack="p", knowledge="k", time=DAY), *events]


def figures(*jobs: list[Event]) -> ForemanFigures:
    result = ForemanFigures(knowledge())
    for number, events in enumerate(jobs):
        if (outcome := outcome_of(events)) is not None:
            result.add(f"0412-{number:02d}", outcome)
    return result


RIGHT = job(
    said(DEEPER),
    Answered(ask=CHECK, state="right", by="bench"),
    said(AIR),
    Filed(facts=Facts(parts_cost=15.0)),
    Closed(found=[SEAL], stage=AIR, minutes=60, cured=True, time=DAY),
)
TOO_DEEP = job(said(DEEPER), Closed(found=[SEAL], stage=AIR, time=DAY))
SHALLOW = job(said(AIR), Closed(found=[DAMPER], stage=DEEPER, time=DAY))
OPEN = job(said(AIR))


def test_the_examples_in_the_text_hold() -> None:
    tried = doctest.testmod(foreman)
    assert tried.attempted > 0
    assert tried.failed == 0


def test_a_call_is_right_too_deep_or_not_deep_enough() -> None:
    sums = figures(RIGHT, TOO_DEEP, SHALLOW, OPEN)
    assert sums.jobs == 3
    assert vars(sums.calls[AIR]) == {"right": 1, "too_deep": 0, "too_shallow": 1}
    assert vars(sums.calls[DEEPER]) == {"right": 0, "too_deep": 1, "too_shallow": 0}


def test_minutes_and_parts_count_where_the_estimated_stage_was_done() -> None:
    sums = figures(RIGHT, TOO_DEEP)
    assert vars(sums.minutes[AIR]) == {"jobs": 1, "estimated": 40.0, "real": 60}
    assert vars(sums.parts[AIR]) == {"jobs": 1, "estimated": 10.0, "real": 15.0}
    assert DEEPER not in sums.minutes
    # 40 minutes and parts of 10 against 60 minutes and parts of 15, at the pack's rate.
    rate = knowledge().pack.economics.rate_per_minute
    money = sums.money[AIR]
    assert (money.estimated, money.real) == (40 * rate + 10, 60 * rate + 15)
    dearer = knowledge().pack.economics.model_copy(update={"rate_per_minute": 2 * rate})
    outcome = outcome_of(RIGHT)
    assert outcome is not None
    shop = ForemanFigures(knowledge(), dearer)
    shop.add("1", outcome)
    assert shop.money[AIR].real == 60 * 2 * rate + 15


def test_the_likeliest_cause_goes_into_its_bin() -> None:
    sums = figures(RIGHT, SHALLOW)
    jobs, total, found = sums.bins[3]  # both said 0.7; the seal was found in one
    assert (jobs, found) == (2, 1)
    assert total == pytest.approx(1.4)


def test_a_check_that_changed_the_call_is_told_from_one_that_did_not() -> None:
    idle = job(
        said(AIR),
        Answered(ask=CHECK, state="right", by="bench"),
        said(AIR),
        Closed(found=[SEAL], stage=AIR, time=DAY),
    )
    assert figures(RIGHT, idle).changed[CHECK] == [2, 1]
    minutes = 5 * knowledge().checks[CHECK].minutes
    text = " ".join(foreman_report(figures(*[idle] * 5)).text().split())
    assert f"- sag measured times done: 5 minutes in all: {minutes:.0f}" in text


def test_estimates_stand_beside_what_it_was() -> None:
    text = " ".join(foreman_report(figures(RIGHT)).text().split())
    assert "minutes: 40, was 60 (×1.50)" in text
    assert "parts, EUR: 10, was 15 (×1.50)" in text


def test_comebacks_are_linked_and_counted() -> None:
    back = job(
        Filed(facts=Facts(comeback_of="0401-01")),
        said(AIR),
        Closed(found=[SEAL], stage=AIR, time=DAY),
    )
    sums = figures(RIGHT, back)
    assert sums.comebacks == [("0412-01", "0401-01")]
    assert "came back as a new job: 1 of 2" in foreman_report(sums).text()


def test_parts_to_stock_follow_the_causes_found() -> None:
    sums = figures(RIGHT, TOO_DEEP)
    kit = knowledge().causes[SEAL].remedy.kit
    assert kit
    assert all(sums.kit[item] == 2 for item in kit)


def test_what_was_needed_long_ago_is_not_what_to_stock() -> None:
    sums = ForemanFigures(knowledge())
    for day in ("2031-04-12", "2030-04-12", "2030-04-11"):
        sums.add(day, Outcome(found=(SEAL,), closed=f"{day}T09:00:00"))
    kit = knowledge().causes[SEAL].remedy.kit
    assert (sums.jobs, sums.year) == (3, 2)
    assert all(sums.kit[item] == 2 for item in kit)


def test_long_lists_are_cut_and_say_so() -> None:
    back = job(Filed(facts=Facts(comeback_of="0401-01")), Closed(found=[SEAL], stage=AIR))
    text = foreman_report(figures(*[back] * 17)).text()
    assert text.count("came back from") == 15
    assert "2 more, longer ago." in text


@pytest.mark.parametrize("width", [32, 80])
def test_the_report_fits_and_its_page_is_sound(width: int) -> None:
    sums = figures(RIGHT, TOO_DEEP, SHALLOW)
    assert max(map(len, foreman_report(sums, name="The Shop").text(width).splitlines())) <= width
    page = read(foreman_report(sums, name="The Shop & <b>").page())
    assert page.faults == []
    assert "svg" in page.tags
    assert "The Shop & <b>" in page.text


def test_no_closed_job_is_no_fault() -> None:
    assert "No closed job yet" in foreman_report(figures(OPEN)).text()
    assert read(foreman_report(figures()).page()).faults == []
