"""Do not open: what raises a sign, what clears it, and what never does."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.belief.compiled import compile_pack
from diagnose.knowledge.loader import load
from diagnose.knowledge.root import knowledge_root
from diagnose.session.trapped import standing_signs
from tests.safety.probes import SIGNS, signs

KNOWLEDGE = load(knowledge_root(None))
COMPILED = compile_pack(KNOWLEDGE, None)


def findings(**chances: float) -> Any:
    """All findings healthy, those named ill with these chances in their last state."""
    found = {n: np.eye(len(COMPILED.states(n)))[0] for n in KNOWLEDGE.findings}
    for name, chance in chances.items():
        found[name] = np.zeros(len(COMPILED.states(name)))
        found[name][[0, -1]] = 1.0 - chance, chance
    return found


def item(ask: str, by: str, place: int) -> Any:
    finding = KNOWLEDGE.checks[ask].observes
    states = COMPILED.states(finding)
    likelihood = np.full(len(states), 0.01)
    likelihood[place] = 0.9
    return SimpleNamespace(
        finding=finding, ask=ask, by=by, state=states[place], likelihood=likelihood
    )


def test_signs_of_the_trade_stand_and_are_cleared_only_at_the_bench() -> None:
    assert list(signs(KNOWLEDGE)) == []


@given(st.dictionaries(st.sampled_from(sorted(SIGNS)), st.floats(0, 1), max_size=3))
def test_a_sign_stands_from_the_packs_threshold_strongest_first(chances: dict[str, float]) -> None:
    standing = standing_signs(COMPILED, findings(**chances), [])
    expected = {n for n, c in chances.items() if c >= KNOWLEDGE.pack.do_not_open_at}
    assert {s.sign.finding for s in standing} == expected
    assert [s.chance for s in standing] == sorted((s.chance for s in standing), reverse=True)


def test_other_findings_and_an_unknown_history_raise_no_sign() -> None:
    ill = dict.fromkeys(KNOWLEDGE.findings.keys() - SIGNS.keys(), 1.0)
    assert standing_signs(COMPILED, findings(**ill), []) == []


@pytest.mark.parametrize("check", ["bench_length", "bench_guarded_fill"])
@pytest.mark.parametrize("by", ["customer", "counter", "bench"])
def test_only_a_healthy_bench_answer_clears(check: str, by: str) -> None:
    found = findings(short_before_air_out=0.9)
    for place in range(len(COMPILED.states(KNOWLEDGE.checks[check].observes))):
        standing = standing_signs(COMPILED, found, [item(check, by, place)])
        assert bool(standing) == (by != "bench" or place > 0)


def test_a_vague_reading_clears_nothing() -> None:
    vague = item("bench_length", "bench", 0)
    vague.likelihood = np.array([0.3, 0.9, 0.1])
    assert standing_signs(COMPILED, findings(short_before_air_out=0.9), [vague])


def test_each_sign_names_what_clears_it() -> None:
    everything = findings(**dict.fromkeys(SIGNS, 1.0))
    for sign in standing_signs(COMPILED, everything, []):
        assert sign.clearing
        assert all(KNOWLEDGE.checks[c].at == "bench" for c in sign.clearing)
