"""The ride verdict: from causes, from findings, from plain words, from what was looked at."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.belief.compiled import UNLISTED
from diagnose.reasoning.floors import Claim, StandingFloor, standing_floors
from diagnose.reasoning.ride import RideCall, judge_ride
from tests.kettle import kettle_reasoner

COMPILED = kettle_reasoner().compiled
WHOLE = {"cord": np.array([1.0, 0.0])}
RANK = {"ride": 0, "ride_gently": 1, "stop_riding": 2}


def call(causes: dict[str, float], bare: float = 0.0, **more: object) -> RideCall:
    given_: dict[str, object] = {
        "floors": [],
        "looked": ["base", "cord"],
        "missing": [],
        "unseen": False,
        **more,
    }
    findings = {"cord": np.array([1.0 - bare, bare])}
    return judge_ride(COMPILED, causes, findings, **given_)  # type: ignore[arg-type]


def test_nothing_found_is_said_with_what_was_looked_at() -> None:
    found = call({"limescale": 0.9}, looked=["base"], missing=["cord"])
    assert found.verdict == "ride"
    assert found.reason == "no reason found to stop; looked at: base; not looked at: cord"


@pytest.mark.parametrize(("chance", "verdict"), [(0.34, "ride"), (0.36, "stop_riding")])
def test_a_cause_stops_from_the_packs_threshold(chance: float, verdict: str) -> None:
    assert call({"lid_bent": chance}).verdict == verdict


def test_causes_add_up() -> None:
    """Two reasons to go gently at 0.4 each: 1 - 0.6 x 0.6 = 0.64, over the threshold of 0.6."""
    both = call({"element_burnt": 0.4, "seal_perished": 0.4})
    assert both.gently == pytest.approx(0.64)
    assert both.verdict == "ride_gently"
    assert call({"element_burnt": 0.4}).verdict == "ride"


def test_what_was_found_counts_whatever_caused_it() -> None:
    found = call({}, bare=0.5)
    assert (found.verdict, found.stop) == ("stop_riding", 0.5)
    assert found.reason.startswith("bare wire")


def floor(by: str) -> list[StandingFloor]:
    return standing_floors(COMPILED, [Claim("cord", "look_cord", by, "bare")])


@pytest.mark.parametrize(
    ("by", "words"), [("customer", "said by the customer"), ("counter", "seen")]
)
def test_a_standing_floor_is_the_verdict_at_least_and_is_named(by: str, words: str) -> None:
    found = call({}, floors=floor(by))
    assert found.verdict == "stop_riding"
    assert found.reason.startswith(f"bare wire at the cord, {words}: bare wire")


def test_a_faint_word_sets_no_floor() -> None:
    faint = [Claim("cord", "said_cord", "heard", "bare", certainty=0.7)]
    assert call({}, floors=standing_floors(COMPILED, faint)).verdict == "ride"


def test_unseen_the_best_is_to_go_gently() -> None:
    found = call({}, looked=[], missing=["base", "cord"], unseen=True)
    assert found.verdict == "ride_gently"
    assert "base, cord" in found.reason


def test_what_no_card_knows_decides_nothing() -> None:
    assert call({UNLISTED: 0.99}).verdict == "ride"


CHANCES = st.floats(0, 1)


@given(st.dictionaries(st.sampled_from(sorted(COMPILED.causes[:-1])), CHANCES), CHANCES)
def test_more_belief_in_a_reason_never_relaxes_the_verdict(
    causes: dict[str, float], bare: float
) -> None:
    before = call(causes, bare)
    for name in COMPILED.causes[:-1]:
        worse = call({**causes, name: max(causes.get(name, 0.0), 0.9)}, bare)
        assert RANK[worse.verdict] >= RANK[before.verdict]
    assert RANK[call(causes, 1.0).verdict] == 2


@given(st.dictionaries(st.sampled_from(sorted(COMPILED.causes[:-1])), CHANCES), CHANCES)
def test_a_reason_is_always_given_and_never_says_safe(
    causes: dict[str, float], bare: float
) -> None:
    reason = call(causes, bare).reason
    assert "looked at" in reason
    assert "safe" not in reason


def test_where_nobody_looked_riding_is_no_verdict() -> None:
    """'Just a check', and no look: nothing speaks against it, and nothing rests on anything."""
    found = call({}, looked=[], missing=["base", "cord"])
    assert not found.judged
    assert found.reason == "nothing told speaks against it; before it is ridden look at base, cord"
    assert call({}, looked=["base"], missing=["cord"]).judged
    assert call({"lid_bent": 0.9}, looked=[], missing=["base", "cord"]).judged
