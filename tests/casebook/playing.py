"""Every case played, once in each process.

Beside the tests, which need one verdict at a time, `relist.py` writes today's misses down.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
import yaml

from diagnose.casebook.cases import Case
from diagnose.errors import Problem
from diagnose.knowledge.root import cases_root
from diagnose.knowledge.yaml_lines import read_yaml
from diagnose.symptom_graph.cautions import required_cautions
from tests.casebook.runner import Played, play, verdicts
from tests.real_pack import pack_reasoner

__all__ = [
    "CASES",
    "KINDS",
    "MISSES",
    "RELIST",
    "Misses",
    "expectations",
    "known",
    "known_miss",
    "not_known",
    "outcome",
]

MISSES = Path(__file__).with_name("known_misses.yaml")
RELIST = "tests/casebook/relist.py"
#: case or cause -> what is missed -> why that was let in
Misses = dict[str, dict[str, str]]
MOMENTS = ("words", "counter", "bench")
KINDS = ("stage", "ride", "also")


def _case(path: Path) -> Case:
    problems: list[Problem] = []
    document = read_yaml(path, path.name, problems)
    assert document is not None, problems
    return Case.model_validate(document.value)


#: by id; what a case says of the knowledge is checked where the cases are loaded for good
CASES = {path.stem: _case(path) for path in sorted(cases_root().glob("*.yaml"))}


def expectations(case: Case) -> list[str]:
    """Names of what a case expects: ``words.stage`` .. ``bench.also``, ``cautions``, ``top3``."""
    names = [
        f"{moment}.{kind}"
        for moment in MOMENTS
        if (expected := getattr(case.expect, moment)) is not None
        for kind in KINDS
        if getattr(expected, kind)
    ]
    names += ["cautions"] if case.expect.cautions else []
    return names + (["top1", "top3"] if case.truth else [])


@cache
def outcome(ident: str) -> dict[str, bool]:
    """Which expectations of a case are met."""
    played = play(pack_reasoner(CASES[ident].pack), CASES[ident])
    met = {**verdicts(played), "cautions": _warned(played)}
    return {name: met[name] for name in expectations(CASES[ident])}


def _warned(played: Played) -> bool:
    """Of each hazard that the case names, a caution was or will be shown.

    With a judgement, before a check that was made, or before a step of the sheets of the plan.
    """
    knowledge = pack_reasoner(played.case.pack).knowledge
    shown = {
        caution.id
        for moment in MOMENTS
        for part in (getattr(played, moment), getattr(played, moment).next_step)
        for caution in part.cautions
    }
    plan = [played.bench.stage.id, *(stage.id for stage in played.bench.also_stages)]
    steps = [step for stage in plan for step in knowledge.stages[stage].steps]
    acts = {act for step in steps for act in (*step.does, *step.marks)}
    for asked in (*played.asked_counter, *played.asked_bench):
        acts |= set(knowledge.checks[asked].does) if asked in knowledge.checks else set()
    shown |= {card.id for act in acts for card in required_cautions(knowledge, [act], {})}
    return all(shown & set(knowledge.hazards[h].cautions) for h in played.case.expect.cautions)


@cache
def known() -> dict[str, Misses]:
    """Today's misses: of ``cases``."""
    listed: dict[str, Misses] = yaml.safe_load(MISSES.read_text("utf-8"))
    return listed


def known_miss(ident: str, name: str, why: str) -> pytest.MarkDecorator:
    """The mark of a test that fails today, for this reason, and must be taken off once it passes.

    Only a verdict may be known to be wrong: a program that breaks is no miss.
    """
    way = f"if it is met, `{name}` of {ident} goes off {MISSES.name}: python -P {RELIST}"
    return pytest.mark.xfail(strict=True, raises=AssertionError, reason=f"{why}; {way}")


def not_known(ident: str, name: str) -> str:
    """What to do about a miss that is not listed."""
    return f'mend it, or let it in: python -P {RELIST} --allow "{ident}:{name}" "why"'
