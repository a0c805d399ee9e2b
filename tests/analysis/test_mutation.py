"""Wrong packs are wrong in one place each, and an example about that place notices."""

from __future__ import annotations

import itertools

import pytest

from diagnose.analysis.comparison import example_jobs
from diagnose.analysis.mutation import KINDS, mutants, survivors
from diagnose.knowledge.loader import Knowledge, load
from diagnose.knowledge.root import knowledge_root
from diagnose.session.reasoner import Reasoner


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load(knowledge_root())


@pytest.mark.parametrize("kind", KINDS)
def test_each_wrong_pack_differs_from_the_right_one(knowledge: Knowledge, kind: str) -> None:
    found = list(itertools.islice(mutants(knowledge, [kind]), 20))
    assert found and len({mutant.where for mutant in found}) == len(found)
    for mutant in found:
        cards = ("causes", "stages", "hazards")
        changed = [
            ident
            for kind_of in cards
            for ident, card in getattr(knowledge, kind_of).items()
            if getattr(mutant.knowledge, kind_of)[ident] is not card
        ]
        assert len(changed) == 1 and mutant.where.startswith(changed[0])


def test_a_job_about_the_wrong_place_notices_and_one_about_nothing_does_not(
    knowledge: Knowledge,
) -> None:
    """The one stage that cures the first cause dropped: its own picture is called otherwise."""
    right = Reasoner(knowledge)
    cause, (name, job) = next(
        (c, row)
        for row in example_jobs(right)
        for c in [knowledge.causes[row[0].split()[0]]]
        if len(c.cures) == 1 and " typical " in row[0] and row[1]["answers"]
    )
    wrong = [m for m in mutants(knowledge, ["cure dropped"]) if m.where.split(":")[0] == cause.id]
    assert survivors(right, wrong, [("nothing said", {})]) == wrong
    assert survivors(right, wrong, [(name, job)]) == []
