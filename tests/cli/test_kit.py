"""Kit and the promised day."""

from __future__ import annotations

import json

import pytest

from tests.cli.conftest import Run


def test_the_kit_is_that_of_the_plan_and_unknown_until_somebody_looked(run: Run, job: str) -> None:
    body = json.loads(run("jobs", "parts", job, "--json").out)
    items = [line["item"] for line in body["kit"]]
    assert "air seal kit of this shock" in items
    assert {line["state"] for line in body["kit"]} == {"unknown"}


def test_lines_are_named_by_number_or_by_a_part_of_them(run: Run, job: str) -> None:
    done = run(
        "jobs", "parts", job, "--have", "2", "--order", "air seal=+3", "--unknown", "core tool"
    )
    lines = done.out.splitlines()
    assert "air seal kit of this shock: order, expected" in lines[0]
    assert lines[1].endswith(": have")
    assert json.loads(run("jobs", "show", job, "--json").out)["state"] == "parts"
    run("jobs", "parts", job, "--have", "all")
    assert json.loads(run("jobs", "show", job, "--json").out)["state"] == "look"


def test_a_part_on_order_moves_the_promised_day(run: Run, job: str) -> None:
    assert run("jobs", "promise", job, "tomorrow").out.startswith("Promised for ")
    out = run("jobs", "parts", job, "--order", "1=+9").out
    assert "parts on order move it to" in out.replace("\n", " ")
    body = json.loads(run("jobs", "promise", job, "+20", "--json").out)
    assert body["told"] == body["promised"]
    assert "No day is promised" in run("jobs", "promise", job, "none").out


@pytest.mark.parametrize("text", ["yesterday", "2020-01-01", "31.12.", "+1000", ""])
def test_days_that_nobody_can_promise(run: Run, job: str, text: str) -> None:
    done = run("jobs", "promise", job, text)
    assert done.status == 1
    assert "DAY" in done.err
