"""Checklists cost what they cost, the best is found, and choosing by answers is worth something."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from diagnose.analysis.checklist import (
    best_checklist,
    checklist_cost,
    compare_strategies,
    cost_curve,
    informed_cost,
)
from diagnose.strategy.lookahead import Option, Situation, advise

#: four causes with a plan each; the first check says in which half, the others which of a half
_COSTS = 20.0 * (1.0 - np.eye(4))
_HALF, _LEFT, _RIGHT = np.eye(2)[[0, 0, 1, 1]], np.eye(2)[[0, 1, 0, 0]], np.eye(2)[[0, 0, 0, 1]]


def halves() -> Situation:
    options = tuple(
        Option(name, 1.0, table, name)
        for name, table in (("half", _HALF), ("left", _LEFT), ("right", _RIGHT))
    )
    return Situation(np.full(4, 0.25), (_COSTS,), options)


def test_a_list_costs_its_checks_as_far_as_it_is_followed() -> None:
    """On the right of `half` the next item tells nothing, unless one after it does."""
    # Stopped after `half` on the right: 1 + 10; followed on the left: 1 + 1.
    assert checklist_cost(halves(), (0, 1)) == pytest.approx(0.5 * 2.0 + 0.5 * 11.0)
    # `right` last: asked on the right only, after a `left` that tells nothing there.
    assert checklist_cost(halves(), (0, 1, 2)) == pytest.approx(0.5 * 2.0 + 0.5 * 3.0)
    assert checklist_cost(halves(), ()) == pytest.approx(15.0)


def test_choosing_by_the_answers_saves_the_check_that_tells_nothing() -> None:
    compared = compare_strategies(halves(), lambda s: advise(s).option)
    assert compared.strategy == pytest.approx(2.0)
    # left, half, right: found at once in a quarter of the jobs, after two in another, else three.
    assert compared.best_stopped == pytest.approx(2.25)
    assert compared.checklist == pytest.approx(2.25)
    assert compared.at_once == pytest.approx(15.0)
    assert compared.informed == pytest.approx(0.0, abs=1e-9) and compared.known == 0.0
    assert compared.saved == pytest.approx(0.25 / 2.25)


def test_a_shared_preparation_is_paid_once() -> None:
    shared = tuple(replace(o, act="lift", act_price=3.0) for o in halves().options)
    situation = replace(halves(), options=shared)
    assert checklist_cost(situation, (0, 1, 2)) == pytest.approx(2.5 + 3.0)
    assert cost_curve(situation, lambda s: advise(s).option)[-1] == pytest.approx(2.0 + 3.0)


@pytest.mark.parametrize("seed", range(4))
def test_the_best_list_is_within_a_hair_of_all_lists(seed: int) -> None:
    rng = np.random.default_rng(seed)
    options = tuple(
        Option(f"o{i}", float(rng.uniform(0.2, 1.5)), rng.dirichlet(np.full(2, 0.3), 5), f"f{i}")
        for i in range(4)
    )
    situation = Situation(rng.dirichlet(np.ones(5)), (rng.gamma(1.0, 10.0, (5, 4)),), options)
    every = min(
        checklist_cost(situation, row)
        for n in range(5)
        for row in itertools.permutations(range(4), n)
    )
    found = checklist_cost(situation, best_checklist(situation))
    assert every <= found <= 1.01 * every


def test_no_stop_rule_is_better_for_a_list_than_its_own() -> None:
    rng = np.random.default_rng(9)
    options = tuple(
        Option(f"o{i}", float(rng.uniform(0.2, 1.5)), rng.dirichlet(np.full(3, 0.3), 6), f"f{i}")
        for i in range(5)
    )
    situation = Situation(rng.dirichlet(np.ones(6)), (rng.gamma(1.0, 10.0, (6, 4)),), options)
    compared = compare_strategies(situation, lambda s: advise(s).option)
    assert compared.known <= compared.strategy <= compared.best_stopped + 0.05
    assert compared.best_stopped <= compared.checklist + 1e-9
    assert compared.best_stopped <= compared.at_once + 1e-9


def test_a_curve_says_what_each_further_question_brings() -> None:
    """Decided at once 15; after `half` alone 1 + 10; one more question tells all."""
    curve = cost_curve(halves(), lambda s: advise(s).option, most=4)
    assert curve.tolist() == pytest.approx([15.0, 11.0, 2.0, 2.0, 2.0])


def test_checks_for_nothing_leave_what_they_cannot_tell() -> None:
    """`half` alone: one of two plans fits, 10 on average; `left` and `right` bring the rest."""
    blunt = replace(halves(), options=halves().options[:1])
    assert informed_cost(blunt) == pytest.approx(10.0)
    assert informed_cost(halves()) == pytest.approx(0.0)
    noisy = Option("noisy", 1.0, 0.25 + 0.5 * _HALF, "noisy")
    assert 10.0 < informed_cost(replace(halves(), options=(noisy,)), draws=4000) <= 15.0
