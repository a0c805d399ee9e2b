"""What every store does, in memory, in a file and on a server."""

from __future__ import annotations

import pytest

from diagnose.errors import InputError, StoreError
from diagnose.job.events import EVENT, Approved, Closed, Complained, HandedOver, Noted
from diagnose.learning.outcome import outcome_of
from diagnose.records.erasing import ERASED_NOTE
from diagnose.records.faults import Conflict, Damaged, UnknownJob
from diagnose.records.store import JobStore
from diagnose.records.summary import Summary
from tests.records.examples import DAY, answer, filled, opened, whole_job


def test_events_come_back_as_they_were_given(store: JobStore) -> None:
    job = store.create(DAY, first=[opened()])
    events = whole_job(7)[1:]
    assert store.append(job, 1, events[:4]) == 5
    assert store.append(job, 5, events[4:]) == 1 + len(events)
    assert store.load(job) == [opened(), *events]


@pytest.mark.parametrize("text", ["", "Öl 油 🛠", "tab\tline\nquote'\"\\", "null \0 byte", "%_"])
def test_any_text_is_kept_and_found(store: JobStore, text: str) -> None:
    job = store.create(DAY, first=[opened(), Complained(text=text)])
    assert store.load(job)[1] == Complained(text=text)
    assert [found.job for found in store.find(search=text)] == [job]


def test_names_are_the_day_and_a_running_number(store: JobStore) -> None:
    names = [store.create(DAY) for _ in range(3)]
    assert names == ["0412-01", "0412-02", "0412-03"]
    assert store.create("2031-11-24T08:00:00") == "1124-01"
    # A year on, or with the clock set back, a tag that hangs on a shock is not given out again.
    assert store.create("2032-04-12T08:00:00") == "0412-04"


def test_a_name_of_ones_own(store: JobStore) -> None:
    assert store.create(DAY, job="rack-7") == "rack-7"
    with pytest.raises(StoreError, match="There is a job rack-7 already"):
        store.create(DAY, job="rack-7", first=[opened()])
    assert store.load("rack-7") == []
    for bad in ("", "two words", "../x", "a" * 41, "x\n"):
        with pytest.raises(InputError):
            store.create(DAY, job=bad)


def test_a_job_with_a_uid_of_ones_own_is_entered_once(store: JobStore) -> None:
    uid = "0123456789abcdef" * 2
    assert store.day_name(DAY) == "0412-01"
    job = store.create(DAY, first=[opened()], uid=uid)
    assert (job, store.uid_of(job)) == ("0412-01", uid)
    assert store.create(DAY, first=[opened()], uid=uid) == job
    assert store.load(job) == [opened()]
    assert store.day_name(DAY) == "0412-02"
    with pytest.raises(UnknownJob):
        store.uid_of("0412-02")


def test_two_people_on_one_job(store: JobStore) -> None:
    job = store.create(DAY, first=[opened("AB")])
    store.append(job, 1, [answer(1, "AB"), answer(2, "AB")])
    with pytest.raises(Conflict) as caught:
        store.append(job, 1, [answer(1, "CD")])
    assert caught.value.meanwhile == (answer(1, "AB"), answer(2, "AB"))
    assert "AB wrote to this job meanwhile: answered" in str(caught.value)
    assert caught.value.where == f"job {job}"
    assert len(store.load(job)) == 3
    assert store.append(job, 3, [answer(1, "CD")]) == 4


def test_a_count_ahead_of_the_store_is_a_conflict_too(store: JobStore) -> None:
    job = store.create(DAY, first=[opened()])
    with pytest.raises(Conflict, match="fewer than the 9 events"):
        store.append(job, 9, [answer(1)])
    assert store.load(job) == [opened()]


def test_the_same_events_again_after_a_lost_reply(store: JobStore) -> None:
    job = store.create(DAY, first=[opened()])
    for _ in range(2):
        assert store.append(job, 1, [answer(1), answer(2)]) == 3
    store.append(job, 3, [answer(3, "CD")])
    # The caller has seen two of three: its next word meets the conflict.
    assert store.append(job, 1, [answer(1), answer(2)]) == 3
    with pytest.raises(Conflict):
        store.append(job, 3, [answer(4)])
    assert len(store.load(job)) == 4


def test_adding_nothing_still_compares(store: JobStore) -> None:
    job = store.create(DAY, first=[opened()])
    assert store.append(job, 1, []) == 1
    with pytest.raises(Conflict):
        store.append(job, 0, [])


def test_an_unknown_job(store: JobStore) -> None:
    for act in (lambda: store.load("0101-01"), lambda: store.append("0101-01", 0, [opened()])):
        with pytest.raises(UnknownJob, match="There is no job 0101-01"):
            act()
    with pytest.raises(UnknownJob):
        store.erase_customer("0101-01", person="AB", time=DAY)


def test_lists_go_by_what_was_written_last_not_by_the_clock(store: JobStore) -> None:
    early = store.create(DAY, first=[opened(time="2031-04-12T09:00:00")])
    store.create(DAY, first=[opened(time="2031-04-12T10:00:00")])
    # The clock was set back by a year.
    store.append(early, 1, [Noted(text="again", time="2030-04-12T11:00:00", person="AB")])
    assert [found.job for found in store.find()] == ["0412-01", "0412-02"]
    assert [event.time[:4] for event in store.load(early)] == ["2031", "2030"]


def test_search_and_filters(store: JobStore) -> None:
    filled(store, 12)
    assert [found.job for found in store.find(search="NUMBER7 öl")] == ["0412-08"]
    assert store.find(search="number7 elephant") == []
    assert {found.state for found in store.find(state="closed")} == {"closed"}
    assert len(store.find(state="closed")) == 8
    assert len(store.find(person="AB")) == 12
    assert store.find(person="ZZ") == []
    job = store.find(search="0412-03")[0]
    assert (job.state, job.stage, job.count, job.person) == ("closed", "small_service", 11, "AB")
    assert job.first_words == "Sinks overnight, number2, Öl am Schaft"
    assert job.opened == DAY


def test_pages_of_a_list_join_without_gap_or_repeat(store: JobStore) -> None:
    empty = [store.create(DAY) for _ in range(4)]
    jobs = filled(store, 6)
    pages: list[Summary] = []
    while page := store.find(limit=3, after=pages[-1] if pages else None):
        pages += page
    assert [found.job for found in pages] == [*reversed(jobs), *reversed(empty)]


def test_outcomes_are_those_of_the_closed_jobs_the_latest_first(
    store: JobStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("diagnose.records.store.BATCH", 3)
    jobs = filled(store, 11)
    made = {job: outcome_of(events) for job, events in jobs.items()}
    closed = [(job, outcome) for job, outcome in made.items() if outcome is not None]
    assert list(store.outcomes()) == closed[::-1]
    assert len(closed) == 7


def test_an_outcome_that_was_written_over_is_noticed(store: JobStore) -> None:
    job = store.create(DAY, first=whole_job(1))
    with store.writing() as session:
        session.run("UPDATE jobs SET outcome = '{\"found\":'")
    with pytest.raises(Damaged, match=f"The outcome of job {job} is damaged"):
        list(store.outcomes())


def test_a_summary_that_is_not_the_jobs_own_is_found(store: JobStore) -> None:
    job, other = (store.create(DAY, first=whole_job(n)) for n in (1, 2))
    assert store.verify() == []
    with store.writing() as session:
        session.run("UPDATE jobs SET outcome = replace(outcome, '40', '41') WHERE job = ?", (job,))
    assert store.verify() == [
        f"What the list says of job {job} does not follow from its events."
    ], other


def test_erasing_blanks_the_words_and_keeps_the_statistics(store: JobStore) -> None:
    first = [
        *whole_job(3, closed=False),
        Noted(text="ring the rider's sister"),
        Approved(stages=["small_service"], told="she said fine"),
        Closed(found=["worn_seal"], words="a hair from number3's dog", minutes=40),
    ]
    job = store.create(DAY, first=first)
    other = store.create(DAY, first=whole_job(4))
    store.erase_customer(job, person="AB", time=DAY)

    events = store.load(job)
    text = "".join(EVENT.dump_json(event).decode() for event in events)
    for word in ("number3", "sister", "she said", "town", "overnight", "dog"):
        assert word not in text
        assert not [found for found in store.find(search=word) if found.job == job]
    assert [event.kind for event in events] == [event.kind for event in first] + ["noted"]
    assert events[-1] == Noted(text=ERASED_NOTE, person="AB", time=DAY)
    assert events[3:9] == first[3:9]
    closing = events[-2]
    assert isinstance(closing, Closed)
    assert (closing.found, closing.minutes) == (["worn_seal"], 40)
    assert dict(store.outcomes()).keys() == {job, other}
    assert [found.job for found in store.find() if found.erased] == [job]
    assert store.load(other) == whole_job(4)
    assert store.verify() == []


def test_a_job_goes_from_the_counter_to_the_bench(store: JobStore) -> None:
    job = store.create(DAY, first=[opened()])
    assert store.find()[0].state == "counter"
    store.append(job, 1, [HandedOver(to="CD", person="AB")])
    assert (store.find()[0].state, store.find()[0].person) == ("look", "CD")


def test_an_event_is_whole_or_not_there(store: JobStore) -> None:
    job = store.create(DAY, first=[opened()])
    with pytest.raises(Exception, match=r"surrogate|serializ"):
        store.append(job, 1, [answer(1), Noted.model_construct(text="\ud800")])
    assert store.load(job) == [opened()]
    assert store.verify() == []
