"""The lines of what was heard: places in the text, what became of each, nothing beside them."""

from __future__ import annotations

import pytest

from diagnose.job.events import Answered, Complained, Described, Event, Opened, Struck
from diagnose.job.state import fold
from diagnose.knowledge.device import HISTORY
from diagnose.reasoning.judgement import Judgement, judge
from tests.heard_words import spelled_talk

REASONER = spelled_talk().reasoner
TEXT = "oil_slider 0.3 wibble creak 0.9"


def judged(*events: Event) -> Judgement:
    begun = [Opened(pack="rear_air_shock", knowledge=""), Complained(text=TEXT)]
    return judge(REASONER, REASONER.view(fold([*begun, *events])))


def test_the_surest_stands_first_with_its_words_and_their_place() -> None:
    said = judged().heard
    assert [(line.id, line.probability, line.standing) for line in said] == [
        ("said_creak", 0.9, "counts"),
        ("said_oil_slider", 0.3, "asked"),
    ]
    assert all(TEXT[line.start : line.end] == line.words for line in said)
    assert [line.words for line in judged().not_heard] == ["wibble"]


def test_the_history_follows_the_complaint() -> None:
    said = judged(Described(shock={HISTORY: "knock_load 0.8 after a wobble"}))
    text = f"{TEXT}. knock_load 0.8 after a wobble"
    assert {line.id for line in said.heard} >= {"said_knock_load"}
    for line in (*said.heard, *said.not_heard):
        assert text[line.start : line.end] == line.words


@pytest.mark.parametrize(
    ("event", "standing", "holds"),
    [
        (Struck(ask="said_creak"), "struck", False),
        (Answered(ask="said_creak", state="not_sure"), "unsure", False),
        (Answered(ask="said_creak", state="no"), "answered", True),
        (Answered(ask="said_creak", state="yes", by="bench"), "counts", True),
    ],
)
def test_what_became_of_a_reading(event: Event, standing: str, holds: bool) -> None:
    line = next(line for line in judged(event).heard if line.id == "said_creak")
    assert (line.standing, line.holds) == (standing, holds)


@pytest.mark.parametrize("certainty", ["0.1", "0.26", "0.49", "0.5", "0.9"])
def test_nothing_weighs_that_is_not_shown_as_counting(certainty: str) -> None:
    job = fold(
        [
            Opened(pack="rear_air_shock", knowledge=""),
            Complained(text=f"creak {certainty} air_loss {certainty}"),
        ]
    )
    view = REASONER.view(job)
    said = judge(REASONER, view)
    assert {line.id for line in said.symptoms} == {x.id for x in said.heard if x.holds}


def test_a_judgement_of_before_these_lines_is_still_read() -> None:
    old = judged().model_dump(mode="json")
    del old["heard"], old["not_heard"]
    assert Judgement.model_validate(old).heard == ()


def test_a_sentence_says_plainly_what_a_later_story_drowns() -> None:
    """And is asked, not believed, where the whole says that it is well."""

    def standing(*words: str) -> dict[str, str]:
        events = [Complained(text=text) for text in words]
        job = fold([Opened(pack="rear_air_shock", knowledge=""), *events])
        return {line.id: line.standing for line in judge(REASONER, REASONER.view(job)).heard}

    assert standing("creak 0.95. creak 0.1")["said_creak"] == "counts"
    assert "counts" not in standing("creak 0.8. creak 0.1").values()
    assert standing("creak 0.95", "well_creak 0.95")["said_creak"] == "asked"
    assert standing("well_creak 0.95", "creak 0.6")["said_creak"] == "counts"
