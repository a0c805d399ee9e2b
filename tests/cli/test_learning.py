"""Learning and the foreman's report from the command line.

Reaches cli.report and cli.learn too.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.cli.context import Context
from diagnose.errors import InputError
from diagnose.job.events import Answered
from diagnose.records.places import JOB_FILE, open_store
from diagnose.shop.learned_versions import FILE, in_force, learned_rates, learned_strengths
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


def test_strengths_are_learned_with_the_rates_and_taken_back_with_them(
    at_shop: Run, job: str, own_home: Path
) -> None:
    cause, finding = "can_seal_worn", "bubbles_wiper"
    bubbles = Answered(ask="bench_bubbles_wiper", state="stream", by="bench")
    with open_store(own_home / JOB_FILE) as store:
        store.append(job, len(store.load(job)), [bubbles])
    compiled = Context().reasoner.compiled
    before = compiled.network.findings[compiled.network.finding_index[finding]]
    at_shop("jobs", "close", job, "--found", cause, "--test", "passed")
    body = json.loads(at_shop("jobs", "learn", "--json", "--apply").out)
    links = {(line["cause"], line["finding"]): line for line in body["links"]}
    line = links[cause, finding]
    assert (line["shown"], line["looked"]) == (1, 1)
    assert line["after"][0] > line["before"][0]
    assert learned_strengths(own_home, knowledge())[cause][finding] == line["after"]
    compiled = Context().reasoner.compiled
    after = compiled.network.findings[compiled.network.finding_index[finding]]
    row = after.parents.index(compiled.network.cause_index[cause])
    assert after.at_least[row].tolist() == line["after"]
    assert before.at_least[row].tolist() == pytest.approx(line["before"])
    at_shop("jobs", "learn", "--back")
    assert learned_strengths(own_home, knowledge()) == {}


def test_nothing_is_put_in_force_where_no_job_says_what_was_found(
    at_shop: Run, job: str, own_home: Path
) -> None:
    at_shop("jobs", "close", job, "--found", "nothing", "--test", "passed")
    assert "--apply" not in at_shop("jobs", "learn").out
    refused = at_shop("jobs", "learn", "--apply")
    assert refused.status == 1
    assert "no closed job says what was found" in refused.err
    assert in_force(own_home, knowledge().pack.id) is None


def test_the_proposal_fits_a_narrow_screen(
    at_shop: Run, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    at_shop("jobs", "close", job, "--found", "can_seal_worn")
    for option in ((), ("--apply",)):
        assert max(map(len, at_shop("jobs", "learn", *option).out.splitlines())) <= 30


def test_a_version_that_was_taken_back_keeps_its_number(
    at_shop: Run, job: str, own_home: Path
) -> None:
    at_shop("jobs", "close", job, "--found", "can_seal_worn")
    at_shop("jobs", "learn", "--apply")
    at_shop("jobs", "learn", "--apply")
    assert "version 1 is in force" in at_shop("jobs", "learn", "--back", "--person", "CD").out
    assert "Version 3 is in force" in at_shop("jobs", "learn", "--apply").out
    found = in_force(own_home, knowledge().pack.id)
    assert found is not None
    assert found[0] == 3
    kept = json.loads((own_home / FILE).read_text("utf-8"))["versions"]
    assert [row.get("back", {}).get("person") for row in kept] == [None, "CD", None]


_RISING = '{"versions": [{"rates": {}, "strengths": {"a": {"f": [0.2, 0.4]}}}]}'


@pytest.mark.parametrize("text", ["{", "[]", '{"versions": [{"rates": {"a": 0}}]}', _RISING])
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
    assert "1 closed job," in at_shop("jobs", "report").out
    assert json.loads(at_shop("jobs", "report", "--json").out)["jobs"] == 1
    assert "No closed job yet" in at_shop("jobs", "report", "--since", "2099").out
