"""What the model is shown says what its labels say."""

from __future__ import annotations

import random

from diagnose.knowledge.loader import DEFAULT_PACK
from tests.hearing.examples import Source, Stock
from tests.hearing.rows import Row
from tests.real_pack import PACKS, pack_knowledge

STOCK = Stock({pack: pack_knowledge(pack) for pack in PACKS}, unsaid=0.5)


def test_labels_stand_side_by_side() -> None:
    labels = STOCK.labels
    places = [labels.place(f, state) for f, states in labels.states.items() for state in states]
    assert places == list(range(labels.start[-1]))


def test_a_whole_complaint_is_shown_as_it_was_written() -> None:
    row = Row("x", "It creaks. No oil.", (("creak", "yes", "creaks"),), (("squeak", "yes"),))
    example = STOCK.example(Source.complaint(row))
    assert (example.text, example.unsaid) == (row.say, 1.0)
    said = {finding: (state, row.say[a:b]) for finding, state, a, b in example.said}
    assert said[DEFAULT_PACK, "creak"] == ("yes", "creaks")
    assert ((DEFAULT_PACK, "squeak"), "yes") in example.allowed


def test_what_is_said_stands_where_it_says_and_once_for_each_finding() -> None:
    random.seed(1)
    for saying in STOCK.sayings[DEFAULT_PACK][::60]:
        example = STOCK.example(saying)
        findings = [finding for finding, *_ in example.said]
        assert len(findings) == len(set(findings))
        assert all(0 <= a < b <= len(example.text) for *_, a, b in example.said)
        assert example.unsaid == 0.5


def test_a_finding_that_two_packs_share_in_the_same_states_learns_from_both() -> None:
    for finding, states in STOCK.labels.states.items():
        for other in STOCK.labels.same(finding):
            assert other[1] == finding[1]
            assert STOCK.labels.states[other] == states
    shared = [f for f in STOCK.labels.states if len(STOCK.labels.same(f)) > 1]
    assert shared
