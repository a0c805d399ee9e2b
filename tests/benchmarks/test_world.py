"""A simulated shock and its people: consistent, as reliable as their cards, as wrong as told."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from diagnose.belief.compiled import Compiled, compile_pack
from diagnose.belief.reports import confusion
from tests.benchmarks.world import NOT_SURE, Nature, World
from tests.real_pack import shop_knowledge


@pytest.fixture(scope="module")
def compiled() -> Compiled:
    return compile_pack(shop_knowledge())


def worlds(compiled: Compiled, count: int, nature: Nature | None = None) -> Iterator[World]:
    """Worlds of one common cause, each with draws of its own."""
    cause = next(iter(compiled.knowledge.causes))
    for seed in range(count):
        yield World(compiled, {cause}, np.random.default_rng(seed), nature)


def linked_check(compiled: Compiled) -> str:
    """A check of something that the first cause leads to, a graded one if there is any."""
    links = next(iter(compiled.knowledge.causes.values())).links
    checks = [c for c in compiled.knowledge.checks.values() if c.observes in links]
    return max(checks, key=lambda c: len(compiled.states(c.observes))).id


def test_asked_again_everything_is_as_before(compiled: Compiled) -> None:
    for world in worlds(compiled, 5, Nature(flips=0.3, not_sure=0.3)):
        cards = [*compiled.knowledge.symptoms.values(), *compiled.knowledge.checks.values()]
        first = [(world.state_of(c.observes), world.report(c)) for c in cards]
        again = [(world.state_of(c.observes), world.report(c)) for c in reversed(cards)]
        assert first == again[::-1]


def test_the_same_seed_is_the_same_shop(compiled: Compiled) -> None:
    (one,), (other,) = list(worlds(compiled, 1)), list(worlds(compiled, 1))
    assert one.complaint() == other.complaint()
    for check in compiled.knowledge.checks.values():
        assert one.report(check) == other.report(check)


def test_states_and_reports_come_as_often_as_the_cards_say(compiled: Compiled) -> None:
    check = compiled.knowledge.checks[linked_check(compiled)]
    states = compiled.states(check.observes)
    count = 800
    state = np.zeros(len(states))
    said = np.zeros(len(states))
    for world in worlds(compiled, count):
        state[states.index(world.state_of(check.observes))] += 1
        said[states.index(world.report(check))] += 1
    network = compiled.network
    present = np.zeros((1, len(compiled.causes)), dtype=bool)
    present[0, 0] = True
    start = int(network.state_offsets[network.finding_index[check.observes]])
    expected = network.state_chances(present)[0, start : start + len(states)]
    chance = compiled.knowledge.chance
    told = check.reliability
    table = confusion(len(states), chance(told.hit), chance(told.false_alarm), chance(told.grade))
    assert state / count == pytest.approx(expected, abs=0.06)
    assert said / count == pytest.approx(expected @ table, abs=0.06)


def test_flips_and_not_sure_come_as_often_as_told(compiled: Compiled) -> None:
    check = compiled.knowledge.checks[linked_check(compiled)]
    count = 300
    unsure = [w.report(check) for w in worlds(compiled, count, Nature(not_sure=0.3))]
    assert unsure.count(NOT_SURE) / count == pytest.approx(0.3, abs=0.1)
    pairs = zip(worlds(compiled, 50), worlds(compiled, 50, Nature(flips=1.0)), strict=True)
    assert all(plain.report(check) != flipped.report(check) for plain, flipped in pairs)


def test_a_complaint_names_one_to_three_abnormal_things(compiled: Compiled) -> None:
    counts = set()
    for world in worlds(compiled, 40):
        said = world.complaint()
        counts.add(len(said))
        for symptom, state in said.items():
            card = compiled.knowledge.symptoms[symptom]
            assert state in compiled.states(card.observes)[1:]
            assert world.report(card) == state
    assert counts <= {0, 1, 2, 3} and {1, 2, 3} & counts
