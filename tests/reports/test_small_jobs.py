"""A small job is named by its own name wherever it is shown: a plan that opens nothing is no can
service.
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from diagnose.conversation.agreements import approve, decline, quote, quoted_words
from diagnose.conversation.conversation import Conversation
from diagnose.conversation.end_record import close
from diagnose.job.agreement import agreed_words, word_on
from diagnose.job.ending import Ending
from diagnose.job.events import Event
from diagnose.job.job_file import events_of
from diagnose.job.state import fold
from diagnose.reasoning.judgement import judge
from diagnose.reports.handover import handover
from diagnose.reports.job_sheet import job_sheet
from diagnose.reports.judgement_text import judgement_text
from diagnose.reports.referral import referral
from diagnose.reports.ticket import ticket
from tests.reports.jobs import reasoner
from tests.reports.pages import knowledge

STAMP: dict[str, Any] = {"time": "2031-04-12T09:00:00", "person": "AB"}

#: small job -> a job at the bench that needs it and nothing else that is plausible
JOBS: dict[str, dict[str, Any]] = {
    "valve_core": {
        "complaint": "always down a bit after a week",
        "answers": {
            "bench_bubbles_valve": "slow",
            "bench_core": "yes",
            "bench_bubbles_wiper": "none",
            "said_air_loss": "slow",
            "said_after_service": "no",
        },
    },
    "bushing_and_hardware": {
        "complaint": "there is play at the shock and it knocks",
        "answers": {
            "bench_play_shock": "clear",
            "bench_bushing": "yes",
            "bench_short_gauge": "none",
        },
    },
    "remote_and_cable": {
        "complaint": "the remote lever is stiff and the lockout does not come back",
        "shock": {"lockout": True, "remote_lockout": True},
        "answers": {"bench_cable": "yes", "bench_short_gauge": "none"},
    },
}


def bench_job(ident: str) -> list[Event]:
    return events_of({"at": "bench", **JOBS[ident]}, knowledge())[0]


def said_everywhere(events: list[Event]) -> dict[str, str]:
    """Screen, papers and words to the customer, by name; names of causes are not of the plan."""
    cards = knowledge()
    view = reasoner().view(fold(events))
    judgement, job = judge(reasoner(), view), view.job
    quoted = fold([*events, *quote(reasoner(), job, STAMP)])
    agreed = fold([*events, *approve(reasoner(), job, STAMP)])
    closed = fold(
        [
            *events,
            *close(reasoner(), events, Ending(found=[], passed=True, test="complaint"), STAMP),
        ]
    )
    texts = {
        "screen": judgement_text(judgement, 80),
        "ticket": ticket(judgement, job, cards).text(80),
        "job sheet": job_sheet(judgement, agreed, cards).text(80),
        "referral": referral(judgement, job, cards).text(80),
        "handover": handover(judgement, closed, cards).text(80),
        "quote": quoted_words(reasoner(), quoted),
        "agreed": agreed_words(cards, agreed, "EUR"),
    }
    said = {name: " ".join(text.split()) for name, text in texts.items()}
    for cause in cards.causes.values():
        for words in (cause.name, cause.plain):
            said = {name: text.replace(words, "") for name, text in said.items()}
    return said


@pytest.mark.parametrize("ident", JOBS)
def test_a_small_job_is_planned_by_its_own_name_minutes_kit_and_steps(ident: str) -> None:
    cards = knowledge()
    card = cards.small_jobs[ident]
    view = reasoner().view(fold(bench_job(ident)))
    line = judge(reasoner(), view).stage
    assert line.job is not None
    assert (line.id, line.job.id, line.name) == (card.stage, ident, card.name)
    assert line.sheet == ident
    assert set(card.kit) <= set(line.kit)
    likeliest = next(iter(view.belief.causes))
    assert cards.causes[likeliest].remedy.job == ident
    least = card.opening_minutes + min(
        cause.remedy.minutes for cause in cards.causes.values() if cause.remedy.job == ident
    )
    assert line.minutes >= least - 0.5
    body = json.loads(judge(reasoner(), view).model_dump_json())
    assert body["stage"]["job"] == {"id": ident, "name": card.name}


@pytest.mark.parametrize("ident", JOBS)
def test_a_plan_that_opens_nothing_never_says_air_can_service(ident: str) -> None:
    cards = knowledge()
    job, stage = cards.small_jobs[ident], cards.stages[cards.small_jobs[ident].stage]
    said = said_everywhere(bench_job(ident))
    shown = {name: text for name, text in said.items() if job.name in text}
    assert {"screen", "ticket", "job sheet", "referral", "handover", "quote", "agreed"} == {*shown}
    for name in ("air can service", stage.name):
        assert not {paper for paper, text in said.items() if name in text.lower()}, name


def test_the_customer_is_asked_for_the_small_job_and_led_through_its_steps() -> None:
    """From the call to the last step; approval of the core opens no can."""
    cards, talk = knowledge(), Conversation(reasoner())
    card, events, seen = cards.small_jobs["valve_core"], bench_job("valve_core"), []
    for _ in range(80):
        prompt = talk.prompt(events, "AB")
        seen.append(prompt.text)
        state = {row.state for row in prompt.answers}
        if prompt.id.startswith("step:") and prompt.id not in ("", None):
            assert prompt.id.split(":")[1] == "valve_core"
        wanted = next((s for s in ("sheet", "agreed", "done") if s in state), None)
        if wanted is None and prompt.kind == "judgement":
            break
        reply = wanted or next(iter(prompt.answers)).state
        events = [*events, *talk.reply(events, prompt, reply, time=STAMP["time"], person="AB")]
    job = fold(events)
    assert [step for step in job.steps if step[0] == "valve_core"] == [
        ("valve_core", number) for number in range(len(card.steps))
    ]
    assert job.answers[-1].stages == ["valve_core"]
    assert any(f"Has the customer agreed to this: {card.name}, about" in text for text in seen)
    assert not any("air can service" in text for text in seen)
    assert job.ready


def test_a_yes_to_the_small_job_is_none_to_the_whole_and_the_whole_holds_the_small() -> None:
    job, cards = fold(bench_job("valve_core")), knowledge()
    small = approve(reasoner(), job, STAMP)
    whole = approve(reasoner(), job, STAMP, stages=["air can service"])
    refused = decline(reasoner(), job, STAMP, told="he rides it as it is")

    def yes(events: list[Event], sheet: str) -> bool:
        word = word_on(cards, sheet, fold([*bench_job("valve_core"), *events]).answers)
        return word is not None and not word.declined

    assert yes(small, "valve_core") and not yes(small, "air_can_service")
    assert yes(whole, "valve_core") and yes(whole, "air_can_service")
    assert yes([*whole, *refused], "air_can_service")
    assert not yes([*whole, *refused], "valve_core")


def test_what_was_done_is_closed_as_its_stage_with_the_small_job_beside_it() -> None:
    events = bench_job("valve_core")
    ending = Ending(found=["valve_core_worn"], stage="valve_core", passed=True, test="complaint")
    closed = next(e for e in close(reasoner(), events, ending, STAMP) if e.kind == "closed")
    assert (closed.stage, closed.job) == ("air_can_service", "valve_core")
    ending = Ending(found=["valve_core_worn"], stage="air_can_service")
    closed = next(e for e in close(reasoner(), events, ending, STAMP) if e.kind == "closed")
    assert (closed.stage, closed.job) == ("air_can_service", "")
