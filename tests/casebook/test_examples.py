"""The examples beside each cause card: the typical ones rank, the near misses do not come first."""

from __future__ import annotations

import pytest

from tests.casebook.playing import cause_ids, example_fault, examples, known


def faults(cause: str, listed: bool) -> list[str]:
    """What fails of the examples that are, or are not, listed as known misses."""
    misses = known()["examples"].get(cause, [])
    return [
        fault
        for name, example in examples(cause)
        if (name in misses) == listed
        if (fault := example_fault(cause, name, example))
    ]


@pytest.mark.parametrize("cause", cause_ids())
def test_examples_rank_as_their_card_says(cause: str) -> None:
    assert faults(cause, listed=False) == []


@pytest.mark.xfail(strict=False, reason="known miss")
@pytest.mark.parametrize("cause", sorted(known()["examples"]))
def test_examples_that_are_missed_today(cause: str) -> None:
    assert faults(cause, listed=True) == []


def test_each_cause_has_examples_of_both_kinds() -> None:
    """Without them nobody notices when a number of the card goes astray."""
    for cause in cause_ids():
        kinds = {name.split()[0] for name, _ in examples(cause)}
        assert kinds == {"typical", "near_miss"}, cause


def test_what_is_listed_exists() -> None:
    relist = "run: python -P tests/casebook/relist.py, and look at what changed"
    count = sum(len(examples(cause)) for cause in cause_ids())
    missed = sum(map(len, known()["examples"].values()))
    assert known()["met"]["examples"] == [count - missed, count], relist
    for cause, names in known()["examples"].items():
        assert set(names) <= {name for name, _ in examples(cause)}, relist
