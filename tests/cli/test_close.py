"""Closing a job from the command line, by options and by answers.

Reaches cli.one_job too.
"""

from __future__ import annotations

import json
from pathlib import Path

from diagnose.job.events import Closed
from diagnose.job.state import JobState, fold
from diagnose.records.places import JOB_FILE, open_store
from tests.cli.conftest import DAY, Run


def stored(home: Path, job: str) -> JobState:
    with open_store(home / JOB_FILE) as store:
        return fold(store.load(job))


def typed(*lines: str) -> str:
    return "".join(f"{line}\n" for line in lines)


def test_a_job_is_closed_in_a_key_an_answer(at_shop: Run, job: str, own_home: Path) -> None:
    # first cause, nothing else; stage, minutes and parts as proposed; the complaint's own test,
    # which passed; nothing noted as left; yes, close it
    keys = typed("1", "", "", "", "", "2", "1", "", "", "", "5")
    done = at_shop("jobs", "close", job, "--person", "CD", given=keys)
    assert done.status == 0
    assert f"diagnose jobs handover {job}" in done.out
    state = stored(own_home, job)
    assert state.closed is not None
    assert state.last_judged is not None
    assert state.closed.found == [state.last_judged["causes"][0]["id"]]
    assert state.closed.minutes == state.last_judged["stage"]["minutes"]
    assert (state.closed.cured, state.closed.test) == (True, "complaint")


def test_several_causes_are_told_one_by_one_and_a_wrong_key_asks_again(
    at_shop: Run, job: str, own_home: Path
) -> None:
    keys = typed("x", "1", "3", "", "", "soon", "55", "7,50", "", "160 psi", "", "", "5")
    done = at_shop("jobs", "close", job, given=keys)
    assert done.status == 0
    assert "'x' does nothing here" in done.out
    assert "'soon' is no number" in done.out
    state = stored(own_home, job)
    assert state.closed is not None
    assert len(state.closed.found) == 2
    assert (state.closed.minutes, state.facts.parts_cost) == (55.0, 7.5)
    assert state.facts.as_left == {"air pressure": "160 psi"}


def test_none_of_these_needs_words(at_shop: Run, job: str, own_home: Path) -> None:
    assert at_shop("jobs", "close", job, "--found", "none_of_these").status == 1
    assert (
        at_shop("jobs", "close", job, "--found", "none_of_these", "--words", "a wasp").status == 0
    )
    closed = stored(own_home, job).closed
    assert closed is not None
    assert (closed.found, closed.words) == (["unlisted"], "a wasp")


def test_answers_that_end_early_are_kept_and_gone_on_with(
    at_shop: Run, job: str, own_home: Path
) -> None:
    at_shop("jobs", "close", job, given=typed("1", ""))
    state = stored(own_home, job)
    assert state.closed is None
    assert state.choices.ending is not None and state.choices.ending.whole
    done = at_shop("jobs", "close", job, given=typed("", "", "", "", "", "", "", "5"))
    assert "What was done?" in done.out and "What was really found?" not in done.out
    assert stored(own_home, job).closed is not None


def test_options_without_what_was_found_close_nothing(at_shop: Run, job: str) -> None:
    done = at_shop("jobs", "close", job, "--minutes", "40")
    assert done.status == 2
    assert "--found" in done.err


def test_not_cured_opens_the_same_job_again_and_keeps_what_was_found(
    at_shop: Run, job: str, own_home: Path
) -> None:
    command = ("jobs", "close", job, "--found", "can_seal_worn", "--json")
    done = at_shop(*command, "--test", "failed")
    assert (done.status, json.loads(done.out)["state"]) == (0, "bench")
    state = stored(own_home, job)
    assert state.closed is None
    assert state.facts.not_cured == 1
    with open_store(own_home / JOB_FILE) as store:
        kept = [e for e in store.load(job) if isinstance(e, Closed)]
    assert [(e.found, e.cured) for e in kept] == [(["can_seal_worn"], False)]
    assert at_shop(*command, "--test", "passed").status == 0
    assert stored(own_home, job).closed is not None


def test_a_closed_job_stays_closed(at_shop: Run, job: str) -> None:
    assert at_shop("jobs", "close", job, "--found", "nothing").status == 0
    done = at_shop("jobs", "close", job, "--found", "nothing")
    assert done.status == 1
    assert "closed already" in done.err


def test_a_comeback_names_a_job_that_there_is(at_shop: Run, job: str, own_home: Path) -> None:
    words = ("jobs", "close", job, "--found", "nothing", "--comeback-of")
    assert at_shop(*words, "0101-99").status == 1
    assert at_shop(*words, job).status == 1
    with open_store(own_home / JOB_FILE) as store:
        earlier = store.create(DAY, first=[*store.load(job), Closed(time=DAY)])
    assert at_shop(*words, earlier).status == 0
    assert stored(own_home, job).facts.comeback_of == earlier


def test_a_wrong_number_is_said_without_an_id_of_the_code(run: Run, job: str) -> None:
    done = run("jobs", "close", job, given="1\n1\n\nabc\n40\n")
    assert "'abc' is no number. Digits alone" in done.out
    assert "closing:" not in done.out
