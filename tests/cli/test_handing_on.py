"""Handing a job on, done, referred out, tied to others; and what is noted as a shock comes in.

Reaches cli.intake, conversation.handing_on, conversation.intake and reports.referral too.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.job.events import Begun
from diagnose.job.state import JobState, fold
from diagnose.records.places import JOB_FILE, open_store
from diagnose.shop.settings import SHOP_FILE
from tests.cli.conftest import DAY, Run
from tests.reports.pages import read

LEAVE = '{"text": "loses air overnight"}\n{"command": "leave"}\n'


def stored(home: Path, job: str) -> JobState:
    with open_store(home / JOB_FILE) as store:
        return fold(store.load(job))


def taken_in(run: Run, *options: str) -> str:
    done = run("counter", "--json-lines", *options, given=LEAVE)
    assert done.status == 0, done.err
    return str(json.loads(done.out.splitlines()[-1])["job"])


def test_a_job_goes_to_another_person(run: Run, job: str, own_home: Path) -> None:
    done = run("jobs", "hand", job, "--to", "EF", "--person", "CD")
    assert f"diagnose bench {job} --person EF" in done.out.replace("\n", " ")
    assert (stored(own_home, job).person, stored(own_home, job).at) == ("EF", "bench")
    body = json.loads(run("jobs", "hand", job, "--to", "AB", "--at", "counter", "--json").out)
    assert (body["person"], body["at"]) == ("AB", "counter")


def test_only_people_of_the_shop_take_a_job(run: Run, job: str, own_home: Path) -> None:
    (own_home / SHOP_FILE).write_text("people: {AB: [supervise], CD: [counter]}\n", "utf-8")
    done = run("jobs", "hand", job, "--to", "XY")
    assert done.status == 1
    assert "People: AB, CD" in done.err
    assert run("jobs", "hand", job, "--to", "CD").status == 0
    assert run("jobs", "hand", job).status == 2


def test_ready_waits_for_no_reading(run: Run, job: str, own_home: Path) -> None:
    asleep = Begun(ask="bench_overnight_gauge", readings={"before": "165 psi"}, time=DAY)
    assert json.loads(run("jobs", "ready", job, "--json").out)["state"] == "ready"
    assert json.loads(run("jobs", "show", job, "--json").out)["state"] == "ready"
    with open_store(own_home / JOB_FILE) as store:
        store.append(job, len(store.load(job)), [asleep])
    done = run("jobs", "ready", job)
    assert done.status == 1
    assert "second reading" in done.err


def test_a_referral_pack_says_what_was_done_and_what_was_not(
    run: Run, job: str, own_home: Path, tmp_path: Path
) -> None:
    text = run("jobs", "refer", job, "--width", "40").out
    assert max(map(len, text.splitlines())) <= 40
    words = " ".join(text.replace("|", " ").split())
    for part in (
        "it loses air overnight",
        "negative side",
        "may hold pressure",
        "scratches on the slider",
        "not looked at",
        "No seal, valve core, charge or oil was touched.",
    ):
        assert part in words, part
    assert stored(own_home, job).referred is None
    page = tmp_path / "pack.html"
    run("jobs", "refer", job, "--to", "the north shop", "--html", page)
    assert read(page.read_text("utf-8")).faults == []
    assert "the north shop" in page.read_text("utf-8")
    assert json.loads(run("jobs", "show", job, "--json").out)["state"] == "referred"
    assert "referred to: the north shop" in run("jobs", "show", job).out


@pytest.mark.parametrize(
    ("ended", "stage"),
    [
        ("not_wanted", "no_service"),
        ("not_collected", "no_service"),
        ("replaced", "replace_or_refer"),
        ("referred", "replace_or_refer"),
    ],
)
def test_a_job_ends_without_our_repair(
    run: Run, job: str, own_home: Path, ended: str, stage: str
) -> None:
    body = json.loads(run("jobs", "close", job, "--as", ended, "--json").out)
    assert (body["ended"], body["stage"], body["found"]) == (ended, stage, ["not_looked"])
    closed = stored(own_home, job).closed
    assert closed is not None
    assert (closed.ended, closed.cured) == (ended, None)


def test_what_did_not_pass_its_test_did_not_end(run: Run, job: str) -> None:
    done = run("jobs", "close", job, "--as", "replaced", "--test", "failed")
    assert done.status == 1
    assert "open again" in done.err


def test_intake_is_noted_shown_and_printed(run: Run, own_home: Path) -> None:
    job = taken_in(
        run, "--tag", "12", "--bike", "red  enduro", "--with", "bolt", "--with",
        "two reducers", "--marks", "dent in the can", "--customer", "K7",
    )  # fmt: skip
    assert stored(own_home, job).facts.known() == {
        "tag": "12",
        "bike": "red enduro",
        "customer": "K7",
        "marks": "dent in the can",
        "accessories": ["bolt", "two reducers"],
    }
    assert "accessories: bolt, two reducers" in run("jobs", "show", job).out
    assert "bolt, two reducers" in run("jobs", "ticket", job).out
    assert "bolt, two reducers" in run("jobs", "sheet", job).out
    assert json.loads(run("jobs", "list", "--search", "enduro", "--json").out)[0]["job"] == job
    run("jobs", "erase", job, "--yes")
    assert stored(own_home, job).facts.known() == {}


def test_an_endless_mark_is_refused_before_anything_is_asked(run: Run) -> None:
    done = run("counter", "--json-lines", "--marks", "x" * 500, given=LEAVE)
    assert done.status == 1
    assert "marks: 500 characters" in done.err


def test_two_jobs_of_one_bike_know_each_other(run: Run, own_home: Path) -> None:
    fork = taken_in(run, "--bike", "red")
    shock = taken_in(run, "--bike", "red", "--same-bike-as", fork)
    assert stored(own_home, shock).facts.same_bike == [fork]
    assert stored(own_home, fork).facts.same_bike == [shock]
    third = taken_in(run)
    assert run("jobs", "link", third, "--same-bike-as", fork).status == 0
    assert run("jobs", "link", third, "--same-bike-as", fork).status == 0
    assert stored(own_home, fork).facts.same_bike == [shock, third]


def test_a_comeback_is_offered_by_its_marks_and_linked_by_its_option(
    run: Run, own_home: Path
) -> None:
    first = taken_in(run, "--customer", "K7")
    done = run("counter", "--json-lines", "--customer", "k7", given=LEAVE)
    assert f"--same-bike-as {first}" in done.err
    run("jobs", "close", first, "--found", "can_seal_worn", "--test", "passed")
    done = run("counter", "--json-lines", "--customer", "K7", given=LEAVE)
    assert f"--comeback-of {first}" in done.err
    back = taken_in(run, "--comeback-of", first)
    assert stored(own_home, back).facts.comeback_of == first
    assert "Seen before" not in run("counter", "--json-lines", "--tag", "9", given=LEAVE).err


def test_a_tag_is_used_again_once_its_job_is_closed(run: Run) -> None:
    first = taken_in(run, "--tag", "12")
    assert first in run("counter", "--json-lines", "--tag", "12", given=LEAVE).err
    for row in json.loads(run("jobs", "list", "--json").out):
        run("jobs", "close", row["job"], "--found", "nothing")
    assert run("counter", "--json-lines", "--tag", "12", given=LEAVE).err == ""


def test_links_that_cannot_be(run: Run, job: str) -> None:
    for options, said in (
        (("--comeback-of", job), "no comeback of itself"),
        (("--same-bike-as", job), "not to itself"),
        (("--comeback-of", "0101-99"), "no job 0101-99"),
        ((), "nothing to link"),
    ):
        done = run("jobs", "link", job, *options)
        assert done.status in (1, 2)
        assert said in done.err, options
    other = taken_in(run)
    assert "not closed yet" in run("jobs", "link", job, "--comeback-of", other).err
    assert run("counter", "--json-lines", "--comeback-of", other, given=LEAVE).status == 1


@pytest.mark.parametrize("channel", ["phone", "mail"])
def test_who_is_not_here_is_told_not_to_touch_and_how_to_pack(run: Run, channel: str) -> None:
    done = run("counter", "--json-lines", "--channel", channel, given=LEAVE)
    said = " ".join(done.err.split())
    assert "Leave the valve, the knobs and every screw as they are" in said
    assert "Ask the carrier first" in said
    job = json.loads(done.out.splitlines()[-1])["job"]
    ticket = " ".join(run("jobs", "ticket", job, "--width", "70").out.split())
    assert "holds gas under pressure" in ticket


def test_what_was_told_by_telephone_comes_in(run: Run, own_home: Path) -> None:
    job = taken_in(run, "--channel", "phone")
    assert stored(own_home, job).channel == "phone"
    leave = '{"command": "leave"}\n'
    given = f'{{"text": "no"}}\n{leave}'
    said = run("counter", job, "--json-lines", "--channel", "bike_here", given=given).out
    assert stored(own_home, job).channel == "bike_here"
    assert "first_sight" in said, "now somebody can look"
    run("counter", job, "--json-lines", given=leave)
    assert stored(own_home, job).channel == "bike_here"


def test_what_may_hold_trapped_gas_is_not_packed(run: Run) -> None:
    words = '{"text": "stuck down, it was short before I let air out"}\n{"command": "leave"}\n'
    done = run("counter", "--json-lines", "--channel", "phone", given=words)
    assert "It is not posted" in done.err
    assert "Ask the carrier" not in done.err


def test_a_shock_alone_leaves_a_bike_that_folds(run: Run) -> None:
    done = run("counter", "--json-lines", "--channel", "shock_only", given=LEAVE)
    assert "the frame folds" in done.err
    assert "Ask the carrier" not in done.err
    assert run("counter", "--json-lines", given=LEAVE).err == ""
