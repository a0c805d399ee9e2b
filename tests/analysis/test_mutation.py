"""Wrong packs are wrong in one place each."""

from __future__ import annotations

import itertools

import pytest

from diagnose.analysis.mutation import KINDS, mutants
from tests.real_pack import shop_knowledge

KNOWLEDGE = shop_knowledge()
FOLDERS = ("causes", "stages", "hazards", "findings", "checks", "symptoms", "cautions")


@pytest.mark.parametrize("kind", KINDS)
def test_each_wrong_pack_differs_from_the_right_one_in_one_card(kind: str) -> None:
    found = list(itertools.islice(mutants(KNOWLEDGE, [kind]), 20))
    assert found and len({mutant.where for mutant in found}) == len(found)
    for mutant in found:
        changed = [
            ident
            for folder in FOLDERS
            for ident, card in getattr(KNOWLEDGE, folder).items()
            if getattr(mutant.knowledge, folder)[ident] != card
        ]
        assert changed == [mutant.card] and mutant.where.startswith(mutant.card)


def test_all_kinds_come_in_their_order() -> None:
    kinds = dict.fromkeys(mutant.kind for mutant in mutants(KNOWLEDGE))
    assert list(kinds) == list(KINDS)
