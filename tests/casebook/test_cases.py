"""Every case is played from the words to the bench; each thing that it expects is a test.

What is missed today is listed in known_misses.yaml (python -P tests/casebook/relist.py).

Reaches casebook.runner too.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from diagnose.casebook.cases import load_cases
from diagnose.errors import KnowledgeError
from diagnose.knowledge.root import cases_root
from tests.casebook.playing import (
    CASES,
    RELIST,
    expectations,
    known,
    known_miss,
    not_known,
    outcome,
)
from tests.real_pack import PACKS, pack_knowledge, shop_knowledge

CASE = """\
id: made_up
written: after
difficulty: plain
themes: [pressure_loss]
complaint: loses air overnight
shock: {set_pressure: 165 psi}
counter: {said_air_loss: overnight}
bench: {bench_core: 'yes'}
truth: [valve_core_loose]
expect:
  counter: {stage: [air_can_service]}
  bench: {stage: [air_can_service], also: []}
  cautions: [air_pressure]
teaching: look at the core first
"""

Read = Callable[[str], Any]


def verdict_params() -> list[Any]:
    """(case, expectation), the id beginning with the case, by which the tests are dealt out."""
    params = []
    for ident, case in CASES.items():
        misses = known()["cases"].get(ident, {})
        for name in expectations(case):
            marks = [known_miss(ident, name, misses[name])] if name in misses else []
            params.append(pytest.param(ident, name, marks=marks, id=f"{ident}-{name}"))
    return params


@pytest.mark.parametrize(("ident", "name"), verdict_params())
def test_the_case_is_judged_as_expected(ident: str, name: str) -> None:
    assert outcome(ident)[name], (
        f"{name} of {ident}: see python -P tests/benchmarks/cases.py {ident}; "
        + not_known(ident, name)
    )


def test_each_listed_miss_is_one_of_a_case_and_says_why() -> None:
    for ident, misses in known()["cases"].items():
        assert ident in CASES, f"there is no case {ident}: python -P {RELIST}"
        for name, why in misses.items():
            assert name in expectations(CASES[ident]), f"{ident} expects no {name}: {RELIST}"
            assert why.strip(), f"{name} of {ident}: say why it was let in"


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Load a folder with this one case."""

    def load(text: str, name: str = "made_up") -> Any:
        (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
        return load_cases(tmp_path, shop_knowledge())

    return load


def test_every_case_speaks_of_cards_that_are_there() -> None:
    loaded = {pack: load_cases(cases_root(), pack_knowledge(pack)) for pack in PACKS}
    assert sorted(case.id for cases in loaded.values() for case in cases) == list(CASES)
    assert all(len(cases) >= 10 for cases in loaded.values())


def test_enough_cases_are_difficult_and_written_before_the_numbers() -> None:
    assert sum(case.difficulty == "difficult" for case in CASES.values()) >= 3
    assert sum(case.written == "before" for case in CASES.values()) >= 12


def test_a_sound_case_is_read(read: Read) -> None:
    (case,) = read(CASE)
    assert (case.id, case.truth, case.expect.cautions) == (
        "made_up",
        ["valve_core_loose"],
        ["air_pressure"],
    )


@pytest.mark.parametrize(
    ("old", "new", "line", "what"),
    [
        (
            "id: made_up",
            "id: made_down",
            1,
            "the id is 'made_down' but the file is named 'made_up'",
        ),
        ("valve_core_loose", "valve_core_lose", 9, "no cause 'valve_core_lose'"),
        ("counter: {stage: [air_can_service]}", "counter: {stage: [can]}", 11, "no stage 'can'"),
        ("also: []", "also: [damper]", 12, "no stage 'damper'"),
        ("cautions: [air_pressure]", "cautions: [air]", 13, "no hazard 'air'"),
        ("said_air_loss: overnight", "said_air_los: slow", 7, "no symptom or check 'said_air_los'"),
        ("bench_core: 'yes'", "bench_core: maybe", 8, "'maybe' is no state of bench_core"),
        ("165 psi", "165 pis", 6, "pis"),
        ("difficulty: plain", "difficulty: easy", 3, "difficulty: input should be 'plain'"),
        ("teaching:", "lesson:", 14, "extra inputs are not permitted"),
    ],
)
def test_a_faulty_case_says_where(read: Read, old: str, new: str, line: int, what: str) -> None:
    with pytest.raises(KnowledgeError) as caught:
        read(CASE.replace(old, new))
    rows = [problem for problem in caught.value.problems if what in problem.what]
    assert rows, str(caught.value)
    assert (rows[0].file, rows[0].line) == ("cases/made_up.yaml", line)


def test_all_faults_of_all_cases_are_told_at_once(read: Read) -> None:
    with pytest.raises(KnowledgeError):
        read(CASE.replace("plain", "easy"), "one")
    with pytest.raises(KnowledgeError) as caught:
        read("- a\n", "two")
    assert {problem.file for problem in caught.value.problems} == {
        "cases/one.yaml",
        "cases/two.yaml",
    }
