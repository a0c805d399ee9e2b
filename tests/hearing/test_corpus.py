"""The corpus is whole: every row can be learnt from, and nothing scored was trained on."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.hearing.rows import SPLITS, Row, fingerprint, rows, second
from tests.real_pack import shop_knowledge

KNOWLEDGE = shop_knowledge()
STATES = {
    card.observes: KNOWLEDGE.findings[card.observes].states for card in KNOWLEDGE.symptoms.values()
}
BY_SPLIT = {split: rows(split) for split in SPLITS}
BY_ID = {row.id: row for split in SPLITS for row in BY_SPLIT[split]}


def faults(row: Row, text: str) -> list[str]:
    """What is wrong with a row; ``text`` is what it speaks of."""
    pairs = [*row.states.items(), *row.allowed]
    return [
        *(f"{row.id}: no finding {name}" for name, _ in pairs if name not in STATES),
        *(
            f"{row.id}: {name} is never {state}"
            for name, state in pairs
            if name in STATES and state not in STATES[name]
        ),
        *(
            f"{row.id}: '{words}' does not stand in the text"
            for _, _, words in row.said
            if not words or words not in text
        ),
        *(
            f"{row.id}: {name} is said twice"
            for name, count in Counter(name for name, *_ in row.said).items()
            if count > 1
        ),
    ]


@pytest.mark.parametrize("split", SPLITS)
def test_every_row_speaks_of_what_the_cards_know_in_the_text_s_own_words(split: str) -> None:
    assert len(BY_SPLIT[split]) >= 400
    found = [fault for row in BY_SPLIT[split] for fault in faults(row, row.say)]
    assert not found, "\n".join(found)


def test_a_row_with_each_fault_is_found_out() -> None:
    row = Row("x1", "it creaks", (("creak", "yes", "squeaks"), ("creak", "loudly", "creaks")), ())
    strange = Row("x2", "it creaks", (), (("crumpet", "yes"),))
    assert [fault.partition(": ")[2] for fault in faults(row, row.say)] == [
        "creak is never loudly",
        "'squeaks' does not stand in the text",
        "creak is said twice",
    ]
    assert faults(strange, "it creaks") == ["x2: no finding crumpet"]


def test_ids_are_given_once() -> None:
    assert len(BY_ID) == sum(map(len, BY_SPLIT.values()))


def test_no_text_stands_in_two_splits() -> None:
    texts = [{" ".join(row.say.lower().split()) for row in BY_SPLIT[split]} for split in SPLITS]
    assert sum(map(len, texts)) == len(set().union(*texts))


def test_the_second_annotation_is_of_rows_that_are_scored() -> None:
    scored = {row.id for split in ("dev", "test") for row in BY_SPLIT[split]}
    again = second()
    assert {row.id for row in again} <= scored
    assert len({row.id for row in again}) == len(again)
    found = [fault for row in again for fault in faults(row, BY_ID[row.id].say)]
    assert not found, "\n".join(found)


def test_the_fingerprint_stays_while_the_corpus_does() -> None:
    assert fingerprint() == fingerprint()
    assert len(fingerprint()) == 16
