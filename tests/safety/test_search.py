"""No answer of a customer takes away what stands; what was found yields to its own check."""

from __future__ import annotations

from itertools import chain

import pytest

from tests.real_pack import shop_reasoner
from tests.safety.search import Search
from tests.safety.stands import STANDS


def test_what_stands_names_findings_and_states_of_the_pack() -> None:
    findings = shop_reasoner().knowledge.findings
    for row in STANDS:
        assert set(row.states) <= set(findings[row.finding].states[1:]), row.finding


def test_each_report_by_itself_sets_what_stands() -> None:
    search = Search(shop_reasoner(), seed=10, seen=False)
    assert set(search.starts) == {"answer", "found", "read", "told", "words"}
    for start in chain(*search.starts.values()):
        search.stands(start.events, [start])


@pytest.mark.parametrize("seen", [False, True], ids=["told", "found"])
def test_no_answer_takes_away_what_stands(seen: bool) -> None:
    search = Search(shop_reasoner(), seed=11, seen=seen)
    search.at_random(350, judge_each=70)
    search.guided(6, length=3)
    print(search.counts)
    assert search.counts.answers == 356


@pytest.mark.long
@pytest.mark.parametrize("seen", [False, True], ids=["told", "found"])
def test_hundred_thousand_answers_take_nothing_away(seen: bool) -> None:
    search = Search(shop_reasoner(), seed=12, seen=seen)
    search.at_random(50_000)
    search.guided(2_000)
    print(search.counts)
    assert search.counts.answers == 52_000
