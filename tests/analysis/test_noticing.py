"""Somebody notices a wrong card, and it is said who."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.analysis.mutation import Mutant, mutants
from diagnose.analysis.noticing import Readers
from diagnose.analysis.written import Caller, judged, written_jobs
from diagnose.knowledge.models import SecondOpinion
from tests.real_pack import shop_knowledge

SHIPPED = shop_knowledge()
#: without a second opinion, which would notice most of it before anybody else
KNOWLEDGE = SHIPPED.model_copy(update={"second_opinion": SecondOpinion()})
CALLER = Caller(KNOWLEDGE)
PICTURES = written_jobs(KNOWLEDGE)


@pytest.fixture
def readers() -> Readers:
    """They have read one picture that ranks as it should, of a cause with more than one link."""
    row = next(r for r in PICTURES if r.rank == 1 and not judged(CALLER, r).missed)
    readers = Readers(CALLER)
    readers.read(row)
    return readers


def card_of(readers: Readers) -> str:
    return readers.known[0].written.cause


def test_the_second_opinion_notices_before_what_is_written_down() -> None:
    (card, *_) = SHIPPED.causes
    bare = SHIPPED.causes[card].model_copy(update={"links": {}})
    wrong = SHIPPED.model_copy(update={"causes": {**SHIPPED.causes, card: bare}})
    noticed = Readers(Caller(SHIPPED)).notice(Mutant("link dropped", card, wrong, card))
    assert noticed.by == "opinion" and card in noticed.where


def test_what_is_written_down_notices_first(readers: Readers) -> None:
    card = card_of(readers)
    bare = KNOWLEDGE.causes[card].model_copy(update={"links": {}})
    wrong = KNOWLEDGE.model_copy(update={"causes": {**KNOWLEDGE.causes, card: bare}})
    noticed = readers.notice(Mutant("link dropped", card, wrong, card))
    assert (noticed.by, noticed.where.split(":")[1]) == ("written", " rank")


def test_what_fails_already_notices_nothing() -> None:
    row = next(r for r in PICTURES if judged(CALLER, r).missed)
    readers = Readers(CALLER)
    readers.read(row)
    assert readers.missed == [(row.name, name) for name in sorted(judged(CALLER, row).missed)]
    same = Mutant("link dropped", row.cause, KNOWLEDGE, row.cause)
    assert readers.notice(same).by == ""


def test_rules_notice_a_sheet_in_the_wrong_order(readers: Readers) -> None:
    wrong = next(
        m
        for m in mutants(KNOWLEDGE, ["steps turned"])
        if m.where.endswith("charge_proved_empty before charge_released")
    )
    noticed = readers.notice(wrong)
    assert noticed.by == "rules" and "charge_proved_empty" in noticed.where


def test_rules_notice_a_caution_left_out(readers: Readers) -> None:
    wrong = next(
        m for m in mutants(KNOWLEDGE, ["caution dropped"]) if m.where.startswith("damper_charge")
    )
    assert readers.notice(wrong).by in ("rules", "written")


def test_a_cure_that_no_expectation_speaks_of_is_only_said_otherwise() -> None:
    row = next(r for r in PICTURES if r.rank == 1 and not judged(CALLER, r).missed)
    readers = Readers(CALLER)
    readers.read(replace(row, expected=None))
    card = card_of(readers)
    lost = KNOWLEDGE.causes[card].model_copy(update={"cures": {"full_service": 0.9}})
    wrong = KNOWLEDGE.model_copy(update={"causes": {**KNOWLEDGE.causes, card: lost}})
    assert readers.notice(Mutant("other stage", card, wrong, card)).by == "said"
