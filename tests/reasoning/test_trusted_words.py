"""Words are trusted as far as what else is known bears them out, and eyes outdo them."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.belief.compiled import network_for
from diagnose.job.events import Answered, Complained, Event, Opened
from diagnose.job.state import fold
from diagnose.reasoning.belief import Belief
from diagnose.reasoning.evidence import Item, gather
from diagnose.reasoning.trusted_words import as_trusted, trust
from tests.kettle import kettle_reasoner

KETTLE = kettle_reasoner()
NETWORK = network_for(KETTLE.compiled, {})
STATES = KETTLE.compiled.states("drips")


def belief(*events: Event) -> Belief:
    return Belief(KETTLE, fold([Opened(pack="kettle", knowledge=""), *events]))


def raw(*events: Event) -> list[Item]:
    job = fold([Opened(pack="kettle", knowledge=""), *events])
    return gather(KETTLE.compiled, job, KETTLE.hear(job), KETTLE.measure)


def trusted(*events: Event) -> float:
    return trust(KETTLE.compiled, KETTLE.sets, NETWORK, raw(*events))


def look(state: str, ask: str = "look_drips") -> Answered:
    return Answered(ask=ask, state=state, by="counter" if ask.startswith("look") else "bench")


DRIPS = Complained(text="it drips")


def test_words_alone_are_trusted_as_they_were_heard() -> None:
    assert trusted(DRIPS) == 1.0
    (before,), (after,) = raw(DRIPS), belief(DRIPS).items
    assert after.likelihood == pytest.approx(before.likelihood)


def test_without_words_there_is_nobody_to_trust() -> None:
    assert trusted(look("dry")) == 1.0
    items = raw(look("dry"))
    (same,) = as_trusted(KETTLE.compiled, KETTLE.sets, NETWORK, items)
    assert same is items[0]


def test_a_look_that_bears_the_words_out_leaves_them_as_they_were_heard() -> None:
    assert trusted(DRIPS, look("drips")) == 1.0


def test_all_words_are_doubted_where_a_look_speaks_against_some() -> None:
    both = Complained(text="it drips and stays cold")
    assert trusted(both, look("dry", "bench_leak")) < trusted(both, look("dry")) < 1.0
    before = {i.finding: i for i in raw(both, look("dry"))}["stays_cold"].likelihood
    after = {i.finding: i for i in belief(both, look("dry")).items}["stays_cold"].likelihood
    assert np.ptp(np.log(after)) < np.ptp(np.log(before))


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
