"""A story is trusted as far as what else is known bears it out, and eyes outdo words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.belief.compiled import network_for
from diagnose.job.events import Answered, Complained, Event, HandedOver, Opened
from diagnose.job.state import fold
from diagnose.reasoning.accounts import accounts_of, seen_first
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.evidence import Item, gather
from diagnose.reasoning.options import state_chances
from tests.kettle import kettle_reasoner
from tests.real_pack import shop_reasoner

KETTLE = kettle_reasoner()
NETWORK = network_for(KETTLE.compiled, {})
STATES = KETTLE.compiled.states("drips")
ASTRAY = KETTLE.knowledge.pack.reporters.astray


def belief(*events: Event) -> Belief:
    return Belief(KETTLE, fold([Opened(pack="kettle", knowledge=""), *events]))


def raw(*events: Event) -> list[Item]:
    job = fold([Opened(pack="kettle", knowledge=""), *events])
    return gather(KETTLE.compiled, job, KETTLE.hear(job), KETTLE.measure)


def trusted(*events: Event) -> float:
    found = accounts_of(KETTLE.compiled, KETTLE.sets, NETWORK, raw(*events))
    assert sum(account.share for account in found) == pytest.approx(1.0)
    return sum(account.share for account in found if account.believes)


def look(state: str, ask: str = "look_drips") -> Answered:
    return Answered(ask=ask, state=state, by="counter" if ask.startswith("look") else "bench")


DRIPS = Complained(text="it drips")


def test_a_story_alone_is_trusted_but_for_those_that_are_astray() -> None:
    assert trusted(DRIPS) == pytest.approx(1.0 - ASTRAY)
    (before,), (after,) = raw(DRIPS), belief(DRIPS).items
    assert after.likelihood == pytest.approx(before.likelihood)


def test_belief_is_one_of_two() -> None:
    """With the story as it was told, and without a word of it."""
    told, silent, both = belief(DRIPS), belief(), belief(DRIPS)
    object.__setattr__(told, "accounts", (replace(both.accounts[0], share=1.0),))
    for cause, chance in both.causes.items():
        mixed = (1.0 - ASTRAY) * told.causes[cause] + ASTRAY * silent.causes[cause]
        assert chance == pytest.approx(mixed)


def test_without_words_there_is_nobody_to_trust() -> None:
    assert trusted(look("dry")) == 1.0
    items = raw(look("dry"))
    (same,) = seen_first(items)
    assert same is items[0]


def test_a_look_that_bears_the_story_out_raises_its_trust() -> None:
    assert 1.0 - ASTRAY < trusted(DRIPS, look("drips")) < 1.0


def test_the_whole_story_is_doubted_where_a_look_speaks_against_some() -> None:
    both = Complained(text="it drips and stays cold")
    dry, proved = trusted(both, look("dry")), trusted(both, look("dry", "bench_leak"))
    assert proved < dry < 1.0 - ASTRAY


def test_a_look_at_what_was_only_told_is_expected_to_show_it_or_not() -> None:
    """In the sets in which the story is astray the look is as likely to find nothing as ever."""
    believed = belief(DRIPS)
    listed = believed.hypotheses
    shown = state_chances(KETTLE.compiled, "drips", listed, believed.evidences)[:, 0]
    assert shown[listed.account == 1].min() > shown[listed.account == 0].min()


def test_what_a_look_speaks_against_weighs_nothing_and_stays_in_the_record() -> None:
    words, _ = belief(DRIPS, look("dry")).items
    assert (words.state, words.words != "", words.outdone_by) == ("drips", True, "look_drips")
    assert words.likelihood == pytest.approx(np.ones(len(STATES)))


def test_an_answer_of_the_customer_is_no_look() -> None:
    told = Answered(ask="said_drips", state="dry", by="customer")
    assert [i.outdone_by for i in belief(DRIPS, told).items] == [""]


@pytest.mark.parametrize("state", ["dry", "drips"])
def test_the_last_look_is_named(state: str) -> None:
    (words,) = [i for i in belief(DRIPS, look("dry"), look(state, "bench_leak")).items if i.words]
    assert words.outdone_by == ("bench_leak" if state == "dry" else "look_drips")


def told_of(words: str, *looks: tuple[str, str]) -> Belief:
    """A complaint at the counter, and what was seen there."""
    seen = [Answered(ask=ask, state=state, by="counter") for ask, state in looks]
    opened = Opened(pack="rear_air_shock", knowledge="", channel="bike_here")
    return Belief(shop_reasoner(), fold([opened, Complained(text=words), *seen]))


FIVE = tuple((ask, "no") for ask in shop_reasoner().knowledge.pack.look)


@pytest.mark.parametrize("words", ["loses air every night", "goes flat during the ride"])
def test_a_doubt_of_the_story_makes_no_ride(words: str) -> None:
    """A spring that will not hold its air is not ridden freely (shared trade, common practice)."""
    assert told_of(words, *FIVE).ride.verdict != "ride"


def test_a_story_without_any_trust_still_counts_for_the_ride() -> None:
    refuted = told_of("it squelches loudly", *FIVE)
    before = refuted.ride
    again = told_of("it squelches loudly", *FIVE)
    shares = [0.0 if account.believes else 1.0 for account in again.accounts]
    moved = [replace(a, share=s) for a, s in zip(again.accounts, shares, strict=True)]
    object.__setattr__(again, "accounts", tuple(moved))
    assert (again.ride.verdict, again.ride.stop) == (
        before.verdict,
        pytest.approx(before.stop, abs=0.01),
    )
    assert again.causes == pytest.approx(told_of("", *FIVE).causes, abs=1e-9)


def test_what_set_up_explains_is_no_danger() -> None:
    """The drop at each pump is the hose's (common practice): told so, it may be ridden."""
    leak = told_of("loses air every night", *FIVE)
    hose = [
        Answered(ask="said_pump_only_loss", state="yes"),
        Answered(ask="said_hiss_after_pump", state="puff"),
        Answered(ask="look_bubbles_valve", state="none", by="counter"),
    ]
    job = fold(
        [
            Opened(pack="rear_air_shock", knowledge="", channel="bike_here"),
            Complained(text="loses air every night"),
            *(Answered(ask=ask, state=state, by="counter") for ask, state in FIVE),
            *hose,
        ]
    )
    explained = Belief(shop_reasoner(), job)
    assert explained.causes["pump_hose_loss"] > leak.causes["pump_hose_loss"]
    assert explained.ride.gently < leak.ride.gently


def test_what_was_told_apart_is_heard_apart() -> None:
    reasoner = shop_reasoner()
    opened = Opened(pack="rear_air_shock", knowledge="")
    said = [Complained(text=text) for text in ("feels dead", "I never weighed it down with bags")]
    heard = {h.symptom: h for h in reasoner.hear(fold([opened, *said])).heard}
    alone = {h.symptom: h for h in reasoner.hear(fold([opened, said[0]])).heard}
    for symptom, reading in alone.items():
        assert heard[symptom].certainty >= min(
            reading.certainty, reasoner.knowledge.pack.hearing.counts
        )


def found(*events: Event) -> Belief:
    """At the real counter, where something may come and go."""
    opened = Opened(pack="rear_air_shock", knowledge="", channel="bike_here")
    return Belief(shop_reasoner(), fold([opened, *events]))


WEAK = Answered(ask="said_lockout_weak", state="nothing")
HOT = Answered(ask="said_fades_hot", state="yes")
FIRM = Answered(ask="look_lockout_weak", state="firm", by="counter")


def test_what_comes_and_goes_may_be_away_for_all_looks_alike() -> None:
    """The share stands in the pack (comes_and_goes)."""
    passing = shop_reasoner().knowledge.pack.comes_and_goes
    assert passing is not None
    shows, hides = found(WEAK, HOT).accounts
    assert (shows.kind, hides.kind) == ("shows", "hides")
    assert hides.share == pytest.approx(passing.unseen)
    assert [account.kind for account in found(WEAK).accounts] == ["shows"]


def test_a_look_in_vain_speaks_for_its_being_away_and_against_no_cause_there() -> None:
    before, after = found(WEAK, HOT), found(WEAK, HOT, FIRM)
    assert after.accounts[1].share > before.accounts[1].share
    (look,) = [item for item in after.accounts[1].items if item.ask == FIRM.ask]
    assert look.likelihood == pytest.approx(look.likelihood[0])
    stays = found(WEAK, FIRM).causes["lockout_gate_worn"] / found(WEAK).causes["lockout_gate_worn"]
    comes = after.causes["lockout_gate_worn"] / before.causes["lockout_gate_worn"]
    assert comes > stays


def test_a_bench_brings_it_out_half_the_time() -> None:
    told = [WEAK, HOT, HandedOver(to="", at="bench")]
    vain = Answered(ask="bench_lockout", state="firm", by="bench")
    (look,) = [i for i in found(*told, vain).accounts[1].items if i.ask == vain.ask]
    (plain,) = [i for i in found(*told, vain).accounts[0].items if i.ask == vain.ask]
    assert plain.likelihood[-1] < look.likelihood[-1] < look.likelihood[0]
