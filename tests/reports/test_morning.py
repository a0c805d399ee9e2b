"""The foreman's morning: each open job once where it belongs, and nobody to be called is lost."""

from __future__ import annotations

import re

from diagnose.job.events import (
    Approved,
    Event,
    Filed,
    HandedOver,
    Opened,
    Promised,
    Quoted,
    Readied,
    Stocked,
)
from diagnose.job.facts import Facts
from diagnose.job.state import fold
from diagnose.reports.foreman_figures import ForemanFigures
from diagnose.reports.morning import OpenJob, morning
from tests.real_pack import shop_reasoner

NOW = "2031-04-12T08:00:00+00:00"
EARLIER = "2031-04-11T17:00:00+00:00"


def figures(jobs: int = 0) -> ForemanFigures:
    knowledge = shop_reasoner().knowledge
    empty = ForemanFigures(knowledge, knowledge.pack.economics)
    empty.jobs = jobs
    return empty


def page(*jobs: OpenJob, closed: int = 0) -> dict[str, str]:
    """Section -> its text on one line."""
    text = morning(jobs, figures(closed), NOW, name="Hill").text(100)
    parts = re.split(r"\n([A-Z][^\n]*)\n-+\n", text)
    return {
        name: " ".join(body.split()) for name, body in zip(parts[1::2], parts[2::2], strict=True)
    }


def job(name: str, *events: Event, **more: object) -> OpenJob:
    opened = Opened(pack="rear_air_shock", knowledge="", time=EARLIER)
    return OpenJob(name, fold([opened, *events]), "air can service", **more)  # type: ignore[arg-type]


QUOTED = job(
    "1-01",
    Filed(facts=Facts(customer="A. Rider", comeback_of="0-09")),
    Quoted(stages=["air_can_service"], price=66, up_to=80, time=EARLIER),
    quote="air can service, about 66 EUR",
)
READY = job("1-02", HandedOver(to="AB", at="bench"), Readied(time=EARLIER))
LATE = job("1-03", HandedOver(to="AB", at="bench"), Promised(day="2031-04-11"))
AGREED = job(
    "1-04",
    Approved(stages=["air_can_service"]),
    HandedOver(to="CD", at="bench"),
    Stocked(item="wiper", state="have"),
    kit=("seal kit", "wiper"),
)


def test_an_empty_day_says_so() -> None:
    said = page()
    assert said["Call"] == "Nobody is to be called." and said["Due"] == "Nothing is due."
    assert "20 more closed jobs are needed" in said["How sure our calls are"]


def test_who_is_to_be_called_and_why() -> None:
    calls = page(QUOTED, READY, LATE, AGREED)["Call"]
    assert "A. Rider" in calls and "about 66 EUR" in calls
    assert "1-02" in calls and "to be collected" in calls
    assert "1-03" in calls and "not ready" in calls
    assert "1-04" not in calls


def test_what_is_late_is_due_and_not_said_to_wait_as_well() -> None:
    said = page(LATE)
    assert "1-03" in said["Due"] and "1-03" not in said["Waits"]


def test_only_agreed_work_is_ordered_for_and_what_is_here_is_not() -> None:
    orders = page(QUOTED, AGREED)["Order"]
    assert "1-04" in orders and "seal kit" in orders and "wiper" not in orders
    assert "1-01" not in orders


def test_what_came_back_is_named_with_its_first_job() -> None:
    assert "0-09" in page(QUOTED)["Came back"] and "Came back" not in page(READY)


def test_one_job_is_missing_before_it_is_drawn() -> None:
    assert "1 more closed job is needed" in page(closed=19)["How sure our calls are"]
