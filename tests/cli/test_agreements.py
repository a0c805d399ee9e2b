"""Quoted, agreed, declined from the command line, and what the bench then does.

Reaches conversation.agreements too.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from diagnose.job.events import Approved, HandedOver
from diagnose.job.state import JobState, fold
from diagnose.records.places import JOB_FILE, open_store
from tests.cli.conftest import Run


def stored(home: Path, job: str) -> JobState:
    with open_store(home / JOB_FILE) as store:
        return fold(store.load(job))


def test_a_quote_waits_and_counts_how_often_was_asked(run: Run, job: str, own_home: Path) -> None:
    first = run("jobs", "quote", job, "--person", "AB")
    assert first.status == 0
    assert first.out.startswith("Say: air can service, about ")
    assert "EUR without another call" in first.out.replace("\n", " ")
    assert "Asked 2 times now" in run("jobs", "quote", job).out.replace("\n", " ")
    state = stored(own_home, job)
    assert state.quoted is not None
    assert state.quoted.price is not None
    assert state.quoted.up_to is not None
    assert state.quoted.up_to >= state.quoted.price
    assert json.loads(run("jobs", "show", job, "--json").out)["state"] == "approval"


def test_yes_is_to_what_was_quoted(run: Run, job: str, own_home: Path) -> None:
    run("jobs", "quote", job, "--stage", "damper service", "--price", "120", "--up-to", "150")
    done = run("jobs", "approve", job, "--json", "--person", "AB")
    body = json.loads(done.out)
    assert (body["stages"], body["up_to"], body["person"]) == (["damper_service"], 150.0, "AB")
    assert body["state"] == "look"
    assert stored(own_home, job).quoted is None


def test_yes_without_a_quote_is_to_the_plan_and_its_limit(run: Run, job: str) -> None:
    out = run("jobs", "approve", job).out
    assert out.startswith("The customer agreed to: air can service, up to ")
    again = run("jobs", "approve", job, "--up-to", "90").out
    assert "up to 90 EUR" in again
    assert "up to 90 EUR" in run("jobs", "show", job).out


def test_a_refusal_is_kept_with_what_was_told_or_not_at_all(
    run: Run, job: str, own_home: Path
) -> None:
    done = run("jobs", "decline", job)
    assert done.status == 2
    assert "what the customer was told" in done.err
    assert stored(own_home, job).answers == ()
    done = run("jobs", "decline", job, "--told", "It may go flat.")
    assert "declined: air can service" in done.out
    (answer,) = stored(own_home, job).answers
    assert (answer.declined, answer.told) == (True, "It may go flat.")
    assert json.loads(run("jobs", "show", job, "--json").out)["state"] == "declined"
    assert "Told with the refusal: It may go flat." in run("jobs", "sheet", job).out


def test_everything_is_declined_at_once(run: Run, job: str) -> None:
    done = run("jobs", "decline", job, "--everything", "--told", "Collects it.")
    assert done.out == "The customer declined everything.\n"


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--stage", "air_cann"), "air_can_service"),
        (("--up-to", "-1"), "not believable"),
        (("--up-to", "much"), "invalid"),
    ],
)
def test_what_cannot_be_agreed_to(
    run: Run, job: str, own_home: Path, options: tuple[str, str], said: str
) -> None:
    done = run("jobs", "approve", job, *options)
    assert done.status in (1, 2)
    assert said in done.err
    assert stored(own_home, job).answers == ()


def test_a_closed_job_is_not_asked_about(run: Run, job: str) -> None:
    run("jobs", "close", job, "--found", "nothing")
    for command in (("quote",), ("approve",), ("decline", "--told", "x")):
        done = run("jobs", command[0], job, *command[1:])
        assert done.status == 1
        assert "the job is closed" in done.err


def test_nothing_is_offered_while_gas_may_be_trapped(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "job.yaml"
    file.write_text(
        "at: bench\ncomplaint: stuck down, and it was short before any air was let out\n"
        "answers: {bench_length: deep, bench_gauge_while_short: near_usual}\n",
        "utf-8",
    )
    opened = run("bench", file, "--json-lines", given='{"command": "leave"}\n')
    end = [json.loads(line) for line in opened.out.splitlines()][-1]
    if not end["job"]:
        opened = run("bench", file, "--json-lines", given='{"answer": "1"}\n')
        end = [json.loads(line) for line in opened.out.splitlines()][-1]
    done = run("jobs", "quote", end["job"])
    assert done.status == 1
    assert "diagnose jobs refer" in done.err


#: an act at the counter: as a command, and as another program answers the conversation
ACTS = {
    "agrees": (("approve",), [{"answer": "agree"}]),
    "declines": (("decline", "--told", "It may go flat."), [
        {"answer": "decline"}, {"text": "It may go flat."},
    ]),
    "goes on": (("hand", "--to", "AB", "--at", "bench"), [{"answer": "to_bench"}]),
}  # fmt: skip


@pytest.mark.parametrize("act", ACTS)
def test_an_act_is_the_same_record_by_command_and_by_conversation(
    run: Run, own_home: Path, act: str
) -> None:
    command, lines = ACTS[act]
    written = []
    for door in ("command", "conversation"):
        told = [{"text": "it loses air overnight"}, {"command": "book"}, {"command": "leave"}]
        out = run("counter", "--json-lines", given=_lines(told)).out
        job = json.loads(out.splitlines()[-1])["job"]
        if door == "command":
            done = run("jobs", command[0], job, *command[1:], "--person", "AB")
        else:
            given = _lines([*lines, {"command": "leave"}])
            done = run("counter", job, "--json-lines", "--person", "AB", given=given)
        assert done.status == 0, done.err
        with open_store(own_home / JOB_FILE) as store:
            events = [e for e in store.load(job) if isinstance(e, Approved | HandedOver)]
        written.append(events[-1].model_dump(exclude={"time"}))
    assert written[0] == written[1]


def _lines(objects: list[dict[str, str]]) -> str:
    return "".join(json.dumps(body) + "\n" for body in objects)
