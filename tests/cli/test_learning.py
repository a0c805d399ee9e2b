"""Learning and the foreman's report from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.cli.context import Context
from diagnose.cli.learned import FILE, learned_rates
from diagnose.errors import InputError
from tests.cli.conftest import Run
from tests.reports.pages import knowledge, read


def test_nothing_is_in_force_until_a_person_applies_it_and_it_can_be_taken_back(
    at_shop: Run, job: str, own_home: Path
) -> None:
    at_shop("jobs", "close", job, "--found", "can_seal_worn", "--test", "passed")
    body = json.loads(at_shop("jobs", "learn", "--json").out)
    assert (body["jobs"], body["lines"][0]["found"]) == (1, 1)
    assert learned_rates(own_home, knowledge()) is None
    assert at_shop("jobs", "learn", "--apply", "--person", "CD").status == 0
    applied = learned_rates(own_home, knowledge())
    assert applied == body["rates"]
    before = Context().reasoner.compiled.network.odds
    assert Context().priors == "learned 1"
    assert at_shop("jobs", "learn", "--back").status == 0
    assert learned_rates(own_home, knowledge()) is None
    index = list(knowledge().causes).index("can_seal_worn")
    assert Context().reasoner.compiled.network.odds[index] < before[index]
    assert at_shop("jobs", "learn", "--back").status == 1


def test_a_proposal_applied_twice_is_the_same_proposal(at_shop: Run, job: str) -> None:
    at_shop("jobs", "close", job, "--found", "can_seal_worn")
    first = json.loads(at_shop("jobs", "learn", "--apply", "--json").out)
    again = json.loads(at_shop("jobs", "learn", "--apply", "--json").out)
    assert first["rates"] == again["rates"]
    assert (first["version"], again["version"]) == (1, 2)


@pytest.mark.parametrize("text", ["{", "[]", '{"versions": [{"rates": {"a": 0}}]}'])
def test_a_broken_file_of_rates_is_refused_not_ignored(own_home: Path, text: str) -> None:
    (own_home / FILE).write_text(text, "utf-8")
    with pytest.raises(InputError, match="cannot be read"):
        learned_rates(own_home, knowledge())


def test_the_report_is_written_as_page_text_and_sums(
    at_shop: Run, job: str, tmp_path: Path
) -> None:
    at_shop("jobs", "close", job, "--found", "can_seal_worn", "--test", "passed")
    page = tmp_path / "report.html"
    assert at_shop("jobs", "report", "--html", str(page)).status == 0
    assert read(page.read_text("utf-8")).faults == []
    assert "1 closed jobs" in at_shop("jobs", "report").out
    assert json.loads(at_shop("jobs", "report", "--json").out)["jobs"] == 1
    assert "No closed job yet" in at_shop("jobs", "report", "--since", "2099").out
