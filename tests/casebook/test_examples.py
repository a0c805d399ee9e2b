"""The examples beside each cause card: the typical ones rank, the near misses do not come first."""

from __future__ import annotations

import pytest

from tests.casebook.playing import (
    CASES,
    RELIST,
    cause_ids,
    example_fault,
    examples,
    known,
    known_miss,
    not_known,
)


@pytest.mark.parametrize("cause", cause_ids())
def test_examples_rank_as_their_card_says(cause: str) -> None:
    listed = known()["examples"].get(cause, {})
    faults = [
        f"{fault}; {not_known(cause, name)}"
        for name, example in examples(cause)
        if name not in listed and (fault := example_fault(cause, name, example))
    ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(
    ("cause", "name"),
    [
        pytest.param(cause, name, marks=known_miss(cause, name, why), id=f"{cause}-{name}")
        for cause, misses in known()["examples"].items()
        for name, why in misses.items()
    ],
)
def test_an_example_that_is_missed_today(cause: str, name: str) -> None:
    assert example_fault(cause, name, dict(examples(cause))[name]) == ""


def test_each_cause_has_examples_of_both_kinds() -> None:
    """Without them nobody notices when a number of the card goes astray."""
    for cause in cause_ids():
        kinds = {name.split()[0] for name, _ in examples(cause)}
        assert kinds == {"typical", "near_miss"}, cause


def test_each_listed_miss_is_an_example_of_a_cause_and_says_why() -> None:
    for cause, misses in known()["examples"].items():
        assert cause in cause_ids(), f"there is no cause {cause}: python -P {RELIST}"
        for name, why in misses.items():
            assert name in dict(examples(cause)), f"{cause} has no {name}: python -P {RELIST}"
            assert why.strip(), f"{name} of {cause}: say why it was let in"


def test_no_cause_is_called_like_a_case() -> None:
    """A miss is named by its case or cause alone."""
    assert not CASES.keys() & set(cause_ids())
