"""What no model was trained on is heard by its sayings: the kettle."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.complaint.nearness import Nearness
from diagnose.complaint.recogniser import Recogniser
from tests.kettle import kettle_reasoner

KNOWLEDGE = kettle_reasoner().knowledge
RECOGNISER = Recogniser(KNOWLEDGE)
NEAR = Nearness(KNOWLEDGE, [card.observes for card in KNOWLEDGE.symptoms.values()])


def test_no_model_knows_the_kettle() -> None:
    assert RECOGNISER.untrained == {card.observes for card in KNOWLEDGE.symptoms.values()}


def test_every_saying_is_heard_in_its_state() -> None:
    for card in KNOWLEDGE.symptoms.values():
        for state, sayings in card.phrases.items():
            for saying in sayings:
                best = RECOGNISER.best(saying, 1)[0]
                assert (best.symptom, best.state) == (card.id, state), saying


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("The lid is JAMMED!", {"said_lid_jammed": "jammed"}),
        ("boils fine, but it drips", {"said_drips": "drips"}),
        ("it dripped", {"said_drips": "drips"}),  # another ending of the word
    ],
)
def test_a_part_of_the_text_near_a_saying_says_it(text: str, said: dict[str, str]) -> None:
    heard = {h.symptom: h.state for h in RECOGNISER.understand(text).heard}
    assert said.items() <= heard.items()


@pytest.mark.parametrize("text", ["", "...", "the bus was late", "und es ist kalt", "\x00"])
def test_what_is_near_no_saying_says_nothing(text: str) -> None:
    assert NEAR.of(text) == []
    assert RECOGNISER.understand(text).empty


def test_likeness_alone_is_never_certain_and_words_are_a_slice() -> None:
    text = "Well: it drips , and the lid is jammed."
    found = NEAR.of(text)
    assert {text[said.start : said.end] for said in found} == {
        "it drips",
        "the lid is jammed."[:-1],
    }
    assert all(0 < said.chance < 1 for said in found)


def test_without_a_finding_nothing_is_known(tmp_path: Path) -> None:
    assert Nearness(KNOWLEDGE, []).of("it drips") == []
