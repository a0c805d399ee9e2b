"""The customer's ticket: words without percentages, the price, the ride, what to leave alone.

Reaches reports.sending too.
"""

from __future__ import annotations

import re

import pytest

from diagnose.cells import plain_text
from diagnose.conversation.agreements import approve, quote
from diagnose.job.events import Approved, Quoted
from diagnose.reports.job_sheet import job_sheet
from diagnose.reports.judgement_text import judgement_text
from diagnose.reports.ticket import ticket, told_and_seen
from diagnose.terminal.verdict import call_blocks
from tests.real_pack import shop_reasoner
from tests.reports.jobs import NASTY, judged
from tests.reports.pages import knowledge, read

JOB = {
    "complaint": "it goes flat on the trail and clunks when it comes back",
    "answers": {"look_bolt_loose": "no", "look_crack_seen": "no"},
}
STUCK = {
    "complaint": "it is stuck down and will not come back out",
    "channel": "phone",
    "answers": {"said_short_before_air_out": "yes"},
}


def one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("width", [32, 42, 80])
def test_the_ticket_keeps_to_its_width_and_has_all_its_parts(width: int) -> None:
    judgement, job = judged(JOB)
    text = ticket(judgement, job, knowledge(), name="0412-03").text(width)
    assert max(map(len, text.splitlines())) <= width
    order = [
        "STOP RIDING",
        "What you told us",
        "What we looked at",
        "What it may be",
        "What we plan",
        "without asking you",
        "Please do not",
    ]
    places = [one_line(text).index(part) for part in order]
    assert places == sorted(places)


def test_the_customer_reads_no_percentage_and_the_likeliest_cause_first() -> None:
    judgement, job = judged(JOB)
    text = one_line(ticket(judgement, job, knowledge()).text(80))
    assert "%" not in text
    names = [cause.plain for cause in judgement.causes[:3]]
    assert [text.index(name) for name in names] == sorted(text.index(name) for name in names)


def test_the_limit_is_the_agreed_one_where_one_was_agreed() -> None:
    judgement, job = judged(JOB)
    before = one_line(ticket(judgement, job, knowledge()).text(42))
    assert f"At most {judgement.range.call_before:.0f} EUR without asking you" in before
    agreed = Approved(stages=["air_can_service"], up_to=65)
    judgement, job = judged(JOB, agreed)
    assert "At most 65 EUR without asking you" in one_line(
        ticket(judgement, job, knowledge()).text(42)
    )


def test_call_ticket_quote_and_agreement_name_one_price() -> None:
    judgement, job = judged(JOB)
    told, reasoner = judgement.range, shop_reasoner()
    lines = [judgement.stage, *judgement.also_stages]
    rate = reasoner.money.rate_per_minute
    assert told.price == round(sum(line.minutes * rate + line.parts for line in lines))
    assert told.from_price <= told.price <= told.to_price
    assert told.price < told.call_before <= 1.15 * told.price + 10.0
    shown = [line for block in call_blocks(judgement, 80, plain=True) for line in block.lines]
    call = one_line(plain_text(shown))
    assert f"Price: about {told.price:.0f} EUR, " in call
    assert f"not above {told.call_before:.0f} EUR without a call" in call
    paper = one_line(ticket(judgement, job, knowledge()).text(80))
    assert f"About {told.price:.0f} EUR. At most {told.call_before:.0f} EUR" in paper
    (quoted,) = quote(reasoner, job, {})
    (agreed,) = approve(reasoner, job, {})
    assert isinstance(quoted, Quoted) and isinstance(agreed, Approved)
    assert (quoted.price, quoted.up_to, agreed.up_to) == (
        told.price,
        told.call_before,
        told.call_before,
    )


def test_no_price_is_named_for_what_must_stay_shut() -> None:
    judgement, job = judged(STUCK)
    assert judgement.shut
    call = [line for block in call_blocks(judgement, 80, plain=True) for line in block.lines]
    shop = shop_reasoner().knowledge
    said = (
        plain_text(call),
        judgement_text(judgement, 80),
        ticket(judgement, job, shop).text(80),
        job_sheet(judgement, job, shop).text(80),
    )
    assert not any("Price: " in text or "At most " in text for text in said)


def test_a_refusal_is_on_the_ticket_with_what_was_told() -> None:
    declined = Approved(stages=["air_can_service"], declined=True, told="It may go flat.")
    judgement, job = judged(JOB, declined)
    text = one_line(ticket(judgement, job, knowledge()).text(42))
    assert "You declined: air can service. It may go flat." in text


def test_stuck_short_over_the_phone_leaves_the_valve_alone_and_posts_nothing() -> None:
    judgement, job = judged(STUCK)
    text = one_line(ticket(judgement, job, knowledge()).text(42))
    for ident in ("leave_valve_alone", "do_not_post_pressurised"):
        assert knowledge().cautions[ident].avoidance in text
    assert judgement.stage.id == "do_not_open"
    assert one_line(judgement.stage.reason) in text


def test_what_the_shop_cannot_do_is_said_and_referred() -> None:
    judgement, job = judged(JOB)
    text = ticket(judgement, job, knowledge(), lacking={"air_can_service": ["soft_jaws"]}).text(42)
    assert "Not done here: air can service." in one_line(text)


@pytest.mark.parametrize("paper", ["printer", "a4", "receipt"])
def test_the_page_is_sound_and_a_customers_code_stays_words(paper: str) -> None:
    judgement, job = judged({"complaint": NASTY})
    page = ticket(judgement, job, knowledge(), name="1").page(paper)  # type: ignore[arg-type]
    read_page = read(page)
    assert read_page.faults == []
    assert "script" not in read_page.tags
    assert "<script>alert(1)</script>" in read_page.text
    assert not re.search("[\x1b\u202e]", page)


def test_what_was_passed_over_in_a_question_of_many_is_no_plain_no() -> None:
    """A row that nobody ticked was not named; that is all that is known of it."""
    cards = knowledge()
    frame = next(f for f in cards.frames.values() if f.rows[0].ask in cards.symptoms)
    asks = list(dict.fromkeys(row.ask for row in frame.rows))[:3]
    named = next(row for row in frame.rows if row.ask == asks[0])
    healthy = {ask: cards.findings[cards.symptoms[ask].observes].states[0] for ask in asks[1:]}
    data = {"complaint": "it is not right", "answers": {asks[0]: named.state, **healthy}}
    judgement, job = judged(data)
    told, _ = told_and_seen(judgement, job, cards)
    names = [cards.symptoms[ask].name for ask in asks]
    assert any(line.startswith(f"{names[0]}: ") for line in told)
    (passed,) = [line for line in told if line.startswith("Not named when asked: ")]
    assert all(name in passed for name in names[1:])
    assert not any(line.startswith(f"{name}: ") for line in told for name in names[1:])
