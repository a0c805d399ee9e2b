"""Closing a job: few keys, several causes, words, a test that did not pass, comebacks."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from diagnose.cli.closing import read_found

from diagnose.errors import InputError
from diagnose.job.events import Closed
from diagnose.job.state import JobState, fold
from diagnose.records.places import JOB_FILE, open_store
from tests.cli.conftest import DAY, Run
from tests.reports.pages import knowledge


def stored(home: Path, job: str) -> JobState:
    with open_store(home / JOB_FILE) as store:
        return fold(store.load(job))


def typed(*lines: str) -> str:
    return "".join(f"{line}\n" for line in lines)


def test_a_job_is_closed_in_five_answers(at_shop: Run, job: str, own_home: Path) -> None:
    # first cause; stage, minutes and parts as proposed; test passed; nothing noted as left
    keys = typed("1", "", "", "", "1", "", "", "")
    done = at_shop("jobs", "close", job, "--person", "CD", given=keys)
    assert done.status == 0
    assert f"diagnose jobs handover {job}" in done.out
    state = stored(own_home, job)
    assert state.closed is not None
    assert state.last_judged is not None
    assert state.closed.found == [state.last_judged["causes"][0]["id"]]
    assert state.closed.minutes == state.last_judged["stage"]["minutes"]
    assert state.closed.cured is True


def test_several_digits_are_several_causes_and_a_wrong_key_asks_again(
    at_shop: Run, job: str, own_home: Path
) -> None:
    keys = typed("x", "13", "", "soon", "55", "7,50", "9", "3", "160 psi", "", "")
    done = at_shop("jobs", "close", job, given=keys)
    assert done.status == 0
    assert "'x' is no cause" in done.out
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


def test_answers_that_end_early_store_nothing(at_shop: Run, job: str, own_home: Path) -> None:
    before = stored(own_home, job).count
    keys = typed("1", "")
    assert at_shop("jobs", "close", job, given=keys).status == 1
    assert stored(own_home, job).count == before


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


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("can_seal_worn", ("can_seal_worn",)),
        ("can seal worn, valve_core_loose", ("can_seal_worn", "valve_core_loose")),
        ("nothing", ()),
        ("not_looked", ("not_looked",)),
        ("none_of_these, can_seal_worn", ("unlisted", "can_seal_worn")),
    ],
)
def test_causes_by_id_name_or_word(text: str, found: tuple[str, ...]) -> None:
    assert read_found(text, knowledge()) == found


@pytest.mark.parametrize("text", ["nothing, can_seal_worn", "not_looked,nothing", "can_seel_wurn"])
def test_what_cannot_be_true_together_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        read_found(text, knowledge())
