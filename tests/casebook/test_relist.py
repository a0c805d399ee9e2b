"""The ratchet: a miss goes off the list for nothing and comes on it only with a reason."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from tests.casebook.relist import Refused, relisted, written

OLD = {"a_case": {"top1": "cards too alike", "top3": "cards too alike"}}


def test_what_is_met_goes_and_the_rest_keeps_its_reason() -> None:
    assert relisted(OLD, {"a_case": ["top1"], "b_case": []}, {}) == {
        "a_case": {"top1": "cards too alike"}
    }
    assert relisted(OLD, {"a_case": [], "b_case": []}, {}) == {}


def test_a_new_miss_comes_only_with_its_reason() -> None:
    missed = {"a_case": ["top1"], "b_case": ["words.stage"]}
    with pytest.raises(Refused, match=r'--allow "b_case:words.stage" "why"'):
        relisted(OLD, missed, {})
    assert relisted(OLD, missed, {"b_case:words.stage": "a word too few"})["b_case"] == {
        "words.stage": "a word too few"
    }


def test_one_miss_allowed_allows_no_other_of_the_case() -> None:
    missed = {"a_case": ["top1", "cautions", "words.stage"]}
    with pytest.raises(Refused) as refused:
        relisted(OLD, missed, {"a_case:cautions": "no such card yet"})
    assert "a_case:words.stage" in str(refused.value)
    assert "a_case:cautions" not in str(refused.value)


@pytest.mark.parametrize(
    ("allowed", "told"),
    [
        ({"a_case:top3": "is met"}, "no miss today"),
        ({"z_case:top1": "no such case"}, "no miss today"),
        ({"a_case:top1": "  "}, "why it is let in"),
    ],
)
def test_an_idle_or_bare_wish_is_refused(allowed: dict[str, str], told: str) -> None:
    with pytest.raises(Refused, match=told):
        relisted(OLD, {"a_case": ["top1"]}, allowed)


def test_the_file_holds_a_miss_a_line() -> None:
    listed = {**OLD, "b_case": {"bench.stage": "two words: and a colon"}}
    text = written(listed)
    again: dict[str, Any] = yaml.safe_load(text)
    assert again == {"cases": listed}
    assert sum(": cards too alike" in row for row in text.splitlines()) == 2
