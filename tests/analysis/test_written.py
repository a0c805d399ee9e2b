"""What is written down is judged as it stands, and other cards are read beside the right ones."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.analysis.written import Caller, judged, view_of, written_jobs
from diagnose.belief.compiled import compile_pack
from diagnose.casebook.cases import load_cases
from diagnose.knowledge.root import cases_root
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.reasoner import Reasoner
from tests.real_pack import shop_knowledge

KNOWLEDGE = shop_knowledge()
CALLER = Caller(KNOWLEDGE)
PICTURES = written_jobs(KNOWLEDGE)


def test_every_picture_and_every_moment_of_a_case_is_a_job() -> None:
    causes = KNOWLEDGE.causes.values()
    assert len(PICTURES) == sum(len(c.typical) + len(c.near_miss) for c in causes)
    cases = load_cases(cases_root(), KNOWLEDGE)[:3]
    moments = [row for row in written_jobs(KNOWLEDGE, cases) if row.name.startswith("case ")]
    words = sum(case.expect.words is not None for case in cases)
    assert len(moments) == 2 * len(cases) + words
    assert [row.job.get("at") for row in moments].count("bench") == len(cases)


def test_a_caller_says_what_the_whole_program_says() -> None:
    """All but the next step."""
    whole = Reasoner(KNOWLEDGE)
    whole.recogniser = CALLER.recogniser
    for row in PICTURES[:3]:
        here, there = (judge(r, view_of(r, row.job)).model_dump() for r in (CALLER, whole))
        for part in ("causes", "stage", "also_stages", "ride", "cautions", "range"):
            assert here[part] == there[part]


def test_a_picture_is_missed_where_the_cause_has_lost_its_links() -> None:
    row = next(r for r in PICTURES if r.rank == 1 and not judged(CALLER, r).missed)
    card = KNOWLEDGE.causes[row.cause]
    causes = {**KNOWLEDGE.causes, row.cause: card.model_copy(update={"links": {}})}
    wrong = CALLER.beside(KNOWLEDGE.model_copy(update={"causes": causes}))
    assert "rank" in judged(wrong, row).missed


def test_a_near_miss_is_missed_where_the_cause_comes_first() -> None:
    row = next(r for r in PICTURES if r.rank == 0 and not judged(CALLER, r).missed)
    card = KNOWLEDGE.causes[row.cause].model_copy(update={"per_1000": 1e5})
    causes = {**KNOWLEDGE.causes, row.cause: card}
    wrong = CALLER.beside(KNOWLEDGE.model_copy(update={"causes": causes}))
    assert judged(wrong, row).missed == {"rank"}


@pytest.mark.parametrize("what", ["links", "leak", "per_1000"])
def test_chances_taken_over_are_those_worked_out_anew(what: str) -> None:
    cause = next(iter(KNOWLEDGE.causes.values()))
    finding = next(iter(KNOWLEDGE.findings.values()))
    if what == "leak":
        moved = finding.model_copy(update={"leak": dict.fromkeys(finding.leak, 0.3)})
        change = {"findings": {**KNOWLEDGE.findings, finding.id: moved}}
    else:
        value: object = {} if what == "links" else 99.0
        card = cause.model_copy(update={what: value})
        change = {"causes": {**KNOWLEDGE.causes, cause.id: card}}
    knowledge = KNOWLEDGE.model_copy(update=change)
    beside = CALLER.beside(knowledge)
    anew = compile_pack(knowledge).network.state_chances(CALLER.sets.present)
    assert np.allclose(beside.sets.chances, anew, rtol=0.0, atol=1e-14)
    assert (beside.sets.chances is CALLER.sets.chances) == (what == "per_1000")
