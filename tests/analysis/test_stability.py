"""A step of one number in one job is what a pack with that number says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnose.analysis.sensitivity import Number
from diagnose.analysis.stability import Moved, Stability, moves
from diagnose.analysis.written import Caller, view_of, written_jobs
from diagnose.belief.hypotheses import SetTable
from diagnose.belief.network import Floats, Network
from tests.real_pack import shop_knowledge

CALLER = Caller(shop_knowledge())
JOB = next(row for row in written_jobs(CALLER.knowledge) if len(row.job["answers"]) >= 2)
VIEW = view_of(CALLER, JOB.job)
BELIEF = VIEW.belief
ROWS = moves(CALLER, VIEW)


def with_number(number: Number, value: float) -> Network:
    """The network with one number at another value, changed the plain way."""
    network = CALLER.compiled.network
    if number.kind == "odds":
        odds = network.odds.copy()
        odds[network.cause_index[number.cause]] = value
        return network.with_odds(odds)
    tables = list(network.findings)
    f = network.finding_index[number.finding]
    leak, at_least = tables[f].leak.copy(), tables[f].at_least.copy()
    if number.kind == "leak":
        leak[number.state - 1] = value
    else:
        row = tables[f].parents.index(network.cause_index[number.cause])
        at_least[row, number.state - 1] = value
    tables[f] = replace(tables[f], leak=leak, at_least=at_least)
    return Network(network.causes, network.odds, network.empty_weight, tables)


def weighed(sets: SetTable) -> Floats:
    """The weight of each listed set, by itself."""
    sets.present = BELIEF.hypotheses.present
    return sets.weigh(sets.network, BELIEF.evidence)


@pytest.mark.parametrize("kind", ["odds", "link", "leak"])
def test_the_call_under_a_moved_number_is_that_of_the_moved_network(kind: str) -> None:
    rows = [row for row in ROWS if row.number.kind == kind]
    model, present = CALLER.cost_model, BELIEF.hypotheses.present
    every = np.ones(len(model.plans), dtype=bool)
    for row in rows[:: max(1, len(rows) // 4)]:
        sets = SetTable(with_number(row.number, row.value))
        weights = weighed(sets)
        weights /= weights.sum()
        costs, rights = model.costs(present, VIEW.job.at), model.rights(present)
        before = BELIEF.hypotheses.weights
        plan = model.choose(weights @ rights, every, VIEW.job.at)
        place = model.choose(before @ rights, every, VIEW.job.at)
        assert row.kept == (model.plans[plan].stages == model.plans[place].stages)
        more = float(weights @ (costs[:, place] - costs[:, plan]))
        expected = 0.0 if row.kept else max(more, 0.0)
        assert row.loss == pytest.approx(expected, abs=1e-6)


def test_numbers_without_bearing_are_not_moved() -> None:
    seen = {CALLER.compiled.network.findings[f].name for f in BELIEF.evidence}
    assert {row.number.finding for row in ROWS if row.number.kind != "odds"} <= seen
    assert all(np.isfinite(row.loss) and row.loss >= 0.0 for row in ROWS)


def test_sums_over_jobs() -> None:
    a, b = (Number("odds", cause, "", 0, 0.1, 0.0, np.inf) for cause in "ab")
    sums = Stability()
    sums.add("one", [Moved(a, 0.05, True, 0.0), Moved(a, 0.2, False, 3.0)])
    sums.add("two", [Moved(a, 0.05, True, 0.0), Moved(a, 0.2, True, 0.0), Moved(b, 1.0, True, 0)])
    place = ("odds", "a", "", 0)
    assert (sums.jobs, sums.steps, sums.steadfast) == (2, 5, 0.5)
    assert sums.kept_of_bearing == pytest.approx(0.8)
    assert sums.least_kept() == [(place, 0.2, 0.5)]
    assert sums.worth()[0] == (place, pytest.approx(0.75))
    assert list(sums.tipped) == ["one"]
