"""No kind of event may be forgotten when a customer is."""

from __future__ import annotations

from typing import get_args

import pytest

from diagnose.job.events import Described, Event, Filed, Judged, Noted
from diagnose.job.facts import Facts
from diagnose.records.erasing import PLAIN_KINDS, WORDED_FIELDS, without_customer

KINDS = {kind.model_fields["kind"].default: kind for kind in get_args(get_args(Event)[0])}


def test_every_kind_of_event_is_named() -> None:
    named = WORDED_FIELDS.keys() | PLAIN_KINDS
    assert KINDS.keys() == named, "say in records/erasing.py which fields hold free words"
    assert not WORDED_FIELDS.keys() & PLAIN_KINDS


@pytest.mark.parametrize("kind", sorted(WORDED_FIELDS))
def test_the_named_fields_are_texts(kind: str) -> None:
    for field in WORDED_FIELDS[kind]:
        assert KINDS[kind].model_fields[field].annotation is str


def test_a_shock_keeps_its_measures_and_loses_its_owner() -> None:
    event = Described(shock={"stroke_mm": 55, "history": "his cousin's", "serial": "X1"})
    assert without_customer(event) == Described(shock={"stroke_mm": 55})


def test_facts_of_the_office_keep_their_numbers_and_lose_their_owner() -> None:
    mine = {"tag": "31", "bike": "red", "customer": "K7", "marks": "dent", "accessories": ["bolt"]}
    kept = {"parts_cost": 7.5, "sheet": "trail-55", "comeback_of": "0401-01"}
    event = Filed(facts=Facts.model_validate({**mine, **kept}))
    assert without_customer(event) == Filed(facts=Facts.model_validate(kept))
    older = without_customer(Described(shock={**mine, **kept}))
    assert older == Described(shock=kept)


def test_a_judgement_keeps_its_numbers_and_loses_its_quotes() -> None:
    event = Judged(judgement={"symptoms": [{"id": "a", "words": "my back hurts"}], "no_fault": 0.1})
    kept = without_customer(event)
    assert kept == Judged(judgement={"symptoms": [{"id": "a", "words": ""}], "no_fault": 0.1})
    assert event.judgement["symptoms"][0]["words"] == "my back hurts", "the original is untouched"


def test_twice_is_once() -> None:
    for event in (
        Noted(text="a"),
        Filed(facts=Facts(tag="b")),
        Described(shock={"history": "b", "age_years": 3}),
    ):
        once = without_customer(event)
        assert without_customer(once) == once
