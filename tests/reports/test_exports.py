"""The table of jobs: one row each, and none of the customer's words."""

from __future__ import annotations

import csv
import io

from diagnose.reports.exports import COLUMNS, write_csv
from tests.records.examples import whole_job


def table(count: int) -> list[dict[str, str]]:
    out = io.StringIO()
    jobs = [(f"0412-{n:02d}", whole_job(n, closed=n > 0)) for n in range(count)]
    assert write_csv(jobs, out) == count
    return list(csv.DictReader(io.StringIO(out.getvalue())))


def test_a_row_says_what_was_judged_and_found() -> None:
    still_open, closed = table(2)
    assert tuple(closed) == COLUMNS
    assert (closed["judged_stage"], closed["found"]) == ("small_service", "worn_seal")
    assert (closed["minutes"], closed["cured"], closed["state"]) == ("40.0", "True", "closed")
    assert (still_open["state"], still_open["closed"], still_open["found"]) == ("open", "", "")


def test_no_word_of_the_customer_is_in_it() -> None:
    said = str(table(3))
    assert "sinks overnight" not in said.lower()
    assert "bought used" not in said
