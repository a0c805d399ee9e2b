"""The table of jobs: one row each, and none of the customer's words."""

from __future__ import annotations

import csv
import doctest
import io

from diagnose.job.events import Closed, Promised, Quoted
from diagnose.reports import exports
from diagnose.reports.exports import COLUMNS, row_of, service_due, write_csv
from tests.records.examples import DAY, opened, whole_job


def table(count: int) -> list[dict[str, str]]:
    out = io.StringIO()
    jobs = [(f"0412-{n:02d}", whole_job(n, closed=n > 0)) for n in range(count)]
    assert write_csv(jobs, out, {}) == count
    return list(csv.DictReader(io.StringIO(out.getvalue())))


def test_a_row_says_what_was_judged_and_found() -> None:
    still_open, closed = table(2)
    assert tuple(closed) == COLUMNS
    assert (closed["judged_stage"], closed["found"]) == ("small_service", "worn_seal")
    assert (closed["minutes"], closed["cured"], closed["state"]) == ("40.0", "True", "closed")
    assert (still_open["state"], still_open["closed"], still_open["found"]) == ("open", "", "")


def test_how_it_ended_and_where_it_stands() -> None:
    quoted = Quoted(stages=["small_service"], time=DAY)
    asked = row_of("a", [opened(), Promised(day="2031-04-15"), quoted], {})
    assert (asked["stands"], asked["due"], asked["ended"]) == ("approval", "2031-04-15", "")
    away = row_of("b", [opened(), Closed(ended="not_collected", time=DAY)], {})
    assert (away["stands"], away["ended"], away["call_on"]) == ("closed", "not_collected", "")
    assert row_of("c", [opened(), Closed(time=DAY)], {})["call_on"] == "2031-04-26"


def test_no_word_of_the_customer_is_in_it() -> None:
    said = str(table(3))
    assert "sinks overnight" not in said.lower()
    assert "bought used" not in said


def test_the_examples_in_the_text_hold() -> None:
    tried = doctest.testmod(exports)
    assert tried.attempted > 0
    assert tried.failed == 0


def test_a_service_is_due_from_its_hours_on_and_never_by_what_nobody_told() -> None:
    told = {"hours_since_air_service": 50.0, "hours_since_full_service": 199.0}
    assert service_due(told, {"air": 50.0, "full": 200.0}) == ["air"]
    assert service_due({}, {"air": 1.0}) == []
