"""What the recogniser must hear, must not hear, and must never do.

Figures are taken on the half of sayings.yaml and chatter.yaml that the fit of certainty does not
see (tests/benchmarks/recogniser.py --fit; `halves.py` parts them). The coefficients that are in
use today were fitted before the halves were parted, on all of both files: until they are fitted
anew even this half is not wholly unseen.

Reaches complaint.english, complaint.leaning, complaint.matching, complaint.phrases,
complaint.reading, complaint.spelling and complaint.word_model too.
"""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.complaint.recogniser import Recogniser, Understanding
from diagnose.knowledge.loader import Knowledge, read_pack
from tests.complaint.halves import all_chatter, all_sayings, halves

ROOT = Path(__file__).resolve().parents[2]


def _knowledge() -> Knowledge:
    knowledge, _, problems = read_pack(ROOT / "knowledge")
    assert knowledge is not None, problems
    return knowledge


KNOWLEDGE = _knowledge()
RECOGNISER = Recogniser(KNOWLEDGE)
APART, FITTED = all_sayings()
SAYINGS = [*APART, *FITTED]


def heard(text: str) -> dict[str, str]:
    """Symptom to state, without the prefix that all ids share."""
    return {h.symptom.removeprefix("said_"): h.state for h in RECOGNISER.understand(text).heard}


@pytest.mark.parametrize(
    ("text", "symptom", "state"),
    [
        # loose words
        ("bit of oil on the shaft", "oil_slider", "film"),
        ("oil on the shaft", "oil_slider", "film"),
        ("creaks", "creak", "yes"),
        ("sucked down", "stuck_short", "deep"),
        ("LOST AIR OVERNIGHT!!!", "air_loss", "overnight"),
        # a denial inside the phrase is part of the complaint
        ("does not lock", "lockout_weak", "nothing"),
        ("no rebound damping", "rebound_fast", "pogo"),
        ("shock does not return to full length", "stuck_short", "partly"),
        ("the knob won't turn", "knob_seized", "yes"),
        ("never been serviced", "not_serviced", "yes"),
        # typing
        ("it creeks and squelchs loudly", "squelch", "loud"),
        ("sukced down", "stuck_short", "deep"),
        ("oil on teh stanchoin", "oil_slider", "film"),
        ("lockuot does nothing", "lockout_weak", "nothing"),
        # two Englishes, and English as a second language
        ("the tire rubs the frame", "contact_in_travel", "yes"),
        ("the tyre rubs the frame", "contact_in_travel", "yes"),
        ("after some days is less air inside", "air_loss", "slow"),
        ("it not extend complete", "stuck_short", "partly"),
        # numbers and time decide the state
        ("lost 40 psi overnight", "air_loss", "overnight"),
        ("down 10 psi in a month", "air_loss", "slow"),
        ("goes flat during the ride", "air_loss", "quick"),
        ("sag is 50%", "sag_high", "much"),
        ("sag is 35%", "sag_high", "yes"),
    ],
)
def test_complaint_is_heard(text: str, symptom: str, state: str) -> None:
    assert heard(text).get(symptom) == state


@pytest.mark.parametrize(
    ("text", "symptoms"),
    [
        ("no oil", {"oil_slider"}),
        ("not a drop of oil on the shaft", {"oil_slider"}),
        ("not leaking", {"air_loss"}),
        ("there isn't any play", {"play_shock"}),
        ("holds air fine", {"air_loss"}),
        ("without any creaking", {"creak"}),
        ("never been opened", {"after_service"}),
        ("neither oil nor play", {"oil_slider", "play_shock"}),
        ("no more clunk when it tops out", {"top_out_clunk"}),
        ("no oil, rattles or creaks", {"oil_slider", "rattle_inside", "creak"}),
        ("oil? no. creaking: none", {"oil_slider", "creak"}),
        ("it doesn't leak no oil", {"oil_slider"}),
        ("bolts are not loose", {"bolt_loose"}),
        ("it used to creak", {"creak"}),
    ],
)
def test_denial_is_heard_as_health(text: str, symptoms: set[str]) -> None:
    found = RECOGNISER.understand(text).heard
    assert {h.symptom.removeprefix("said_") for h in found if h.denied} == symptoms
    assert len(found) == len(symptoms)


@pytest.mark.parametrize(
    "text",
    [
        "bit of oil on the shaft",
        "squelchy",
        "won't hold air",
        "lets air out",
        "not without play",
        "used to hold air fine, now flat every morning",
        "sucked down overnight, hard to pull back out, bit of oil on the shaft",
        "creaks on climbs",
    ],
)
def test_complaint_is_no_denial(text: str) -> None:
    found = RECOGNISER.understand(text).heard
    assert found
    assert not any(h.denied for h in found)


def test_one_distinctive_word_is_enough() -> None:
    assert set(heard("squelchy")) == {"squelch"}
    assert set(heard("gritty")) == {"grinding"}


def test_denial_ends_at_a_but() -> None:
    assert heard("no oil but it creaks") == {"oil_slider": "none", "creak": "yes"}


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("there is a crack in the can. No, it is not stuck", "yes"),
        ("a crack in the can? No, it is not stuck", "no"),
        ("a crack in the can: no", "no"),
    ],
)
def test_a_no_that_opens_a_sentence_answers_only_a_question(text: str, state: str) -> None:
    assert heard(text)["crack_seen"] == state


def test_several_symptoms_in_text_order_without_punctuation() -> None:
    text = (
        "it clunks when i lift the bike and theres oil all over the shaft "
        "but the lockout works fine"
    )
    found = RECOGNISER.understand(text).heard
    assert [(h.symptom, h.state) for h in found] == [
        ("said_top_out_clunk", "hard"),
        ("said_oil_slider", "drops"),
        ("said_lockout_weak", "firm"),
    ]


@pytest.mark.parametrize("text", ["if I pump it, it holds air", "does it hold air?"])
def test_supposing_and_asking_weigh_less_than_saying(text: str) -> None:
    said = {h.symptom: h.certainty for h in RECOGNISER.understand("it holds air").heard}
    for reading in RECOGNISER.understand(text).heard:
        assert reading.certainty < said.get(reading.symptom, 1.0)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   \n\t ",
        "!!! ... ???",
        "my mate says it is the seal",
        "hello please can you have a look at my bike thanks",
        "der Dämpfer verliert Luft und knarzt beim Fahren",
        "l'amortisseur perd de l'air pendant la nuit et il craque",
        "el amortiguador pierde aire durante la noche",
        "the quarterly report must be printed on yellow paper",
        "\U0001f6b2\U0001f527\x00\x1b[31m",
    ],
)
def test_nothing_is_heard(text: str) -> None:
    assert RECOGNISER.understand(text).empty


def test_trade_words_are_never_corrected_into_one_another() -> None:
    text = "play clunk clank creak crack leak lag lock knock sag oil coil stock shock dent bent"
    assert RECOGNISER.understand(text).corrections == ()


def test_corrections_are_told_with_the_word_as_typed() -> None:
    assert ("Sukced", "sucked") in RECOGNISER.understand("Sukced down").corrections


def test_unknown_words_are_handed_back() -> None:
    understood = RECOGNISER.understand("it creaks, says the zeppelin captain")
    assert {"zeppelin", "captain"} <= set(understood.unknown)
    assert "creaks" not in understood.unknown


def test_control_characters_and_emoji_change_nothing() -> None:
    plain = RECOGNISER.understand("it creaks and oil on the shaft").heard
    dirty = RECOGNISER.understand("it creaks \U0001f62d\x07 and oil\x00 on the shaft\x1b").heard
    assert [(h.symptom, h.state) for h in plain] == [(h.symptom, h.state) for h in dirty]


def test_best_offers_three_even_when_unsure() -> None:
    best = RECOGNISER.best("clunk")
    assert len(best) == 3
    assert len({h.symptom for h in best}) == 3
    assert {"said_top_out_clunk", "said_knock_load"} <= {h.symptom for h in best}


def test_best_of_nothing_is_nothing() -> None:
    assert RECOGNISER.best("") == []
    assert RECOGNISER.best("xyzzy") == []


def test_completion_goes_on_from_what_was_typed() -> None:
    offered = RECOGNISER.complete("Sucked  d")
    assert offered
    assert all("sucked d" in text.lower() for text in offered)
    assert RECOGNISER.complete("") == []
    assert len(RECOGNISER.complete("o")) <= 8


def test_one_reading_for_each_finding() -> None:
    text = " and ".join(row["say"] for row in SAYINGS[::5])
    found = RECOGNISER.understand(text).heard
    findings = [KNOWLEDGE.symptoms[h.symptom].observes for h in found]
    assert len(findings) == len(set(findings))


@pytest.mark.parametrize("words", [1000, pytest.param(10_000, marks=pytest.mark.long)])
def test_a_long_text_is_read_to_its_end(words: int) -> None:
    text = "the weather was nice " * (words // 4) + "and it creaks"
    assert heard(text).get("creak") == "yes"


def test_a_stored_recogniser_hears_the_same() -> None:
    again = pickle.loads(pickle.dumps(RECOGNISER))
    for row in SAYINGS[::25]:
        assert again.understand(row["say"]) == RECOGNISER.understand(row["say"])


def test_own_phrases_are_heard_in_their_own_state() -> None:
    """A phrase of a card, said word for word, means that card and state; one in twelve."""
    wrong = []
    count = 0
    for card in list(KNOWLEDGE.symptoms.values())[::4]:
        for state, sayings in card.phrases.items():
            for saying in sayings[::3]:
                count += 1
                best = RECOGNISER.best(saying, 1)
                if not best or (best[0].symptom, best[0].state) != (card.id, state):
                    wrong.append(f"{saying!r}: {card.id}={state}")
    assert len(wrong) <= 0.05 * count, "\n".join(wrong)


def test_of_each_symptom_one_saying_more_at_most_is_kept_apart_than_fitted() -> None:
    apart, fitted = halves(["a1", "b1", "a2", "a3", "b2"], lambda row: row[0])
    assert (apart, fitted) == (["a1", "b1", "a3"], ["a2", "b2"])
    assert {row["symptom"] for row in APART} == {row["symptom"] for row in SAYINGS}
    assert not {row["say"] for row in APART} & {row["say"] for row in FITTED}


def test_sayings_kept_apart_are_recognised() -> None:
    missed = [
        row["say"]
        for row in APART
        if row["symptom"] not in {h.symptom for h in RECOGNISER.best(row["say"])}
    ]
    assert len(missed) <= 0.1 * len(APART), "\n".join(missed)


def test_complaints_kept_apart_are_not_heard_as_denied() -> None:
    wrong = []
    for row in APART:
        healthy = KNOWLEDGE.findings[KNOWLEDGE.symptoms[row["symptom"]].observes].states[0]
        if row["state"] != healthy:
            wrong += [
                row["say"]
                for h in RECOGNISER.understand(row["say"]).heard
                if h.symptom == row["symptom"] and h.denied
            ]
    assert len(wrong) <= 0.01 * len(APART), "\n".join(wrong)


def _same(first: Understanding, second: Understanding) -> bool:
    return [(h.symptom, h.state, round(h.certainty, 6)) for h in first.heard] == [
        (h.symptom, h.state, round(h.certainty, 6)) for h in second.heard
    ]


@given(st.text(max_size=200))
def test_no_text_breaks_it_and_words_are_slices(text: str) -> None:
    understood = RECOGNISER.understand(text)
    for reading in understood.heard:
        assert reading.words
        assert reading.words in text
        assert 0 < reading.certainty < 1
    assert all(typed in text for typed, _ in understood.corrections)
    assert all(word in text for word in understood.unknown)
    RECOGNISER.best(text)
    RECOGNISER.complete(text)


WORDS = sorted({word for row in SAYINGS for word in row["say"].split()})


@given(st.lists(st.sampled_from(WORDS), max_size=25))
def test_case_and_spaces_mean_nothing(words: list[str]) -> None:
    plain = RECOGNISER.understand(" ".join(words))
    assert _same(plain, RECOGNISER.understand("  " + "   ".join(words).upper() + " "))
    assert plain == RECOGNISER.understand(" ".join(words))


@pytest.mark.parametrize("greeting", ["Good morning. ", "Evening, ", "Morning all, "])
def test_a_greeting_says_nothing_of_the_hour(greeting: str) -> None:
    said = "the knob came off in my hand"
    alone, greeted = RECOGNISER.understand(said), RECOGNISER.understand(greeting + said)
    assert [h.symptom for h in greeted.heard] == [h.symptom for h in alone.heard]


def test_talk_beside_the_complaint_is_mostly_let_pass() -> None:
    """Sentences that the cards do not list; two in five is a judgement, from memory."""
    sentences, _ = all_chatter()
    misheard = [s for s in sentences if not RECOGNISER.understand(s).empty]
    assert len(misheard) <= 0.4 * len(sentences), misheard
