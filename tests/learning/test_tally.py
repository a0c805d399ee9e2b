"""What a closed job counts for, looked into or not."""

from __future__ import annotations

import pytest

from diagnose.belief.compiled import UNLISTED
from diagnose.learning.outcome import NOT_LOOKED, Outcome
from diagnose.learning.tally import Tally
from tests.reports.pages import knowledge

SEAL, CORE, SHAFT = "can_seal_worn", "valve_core_loose", "shaft_seal_leak"


def tally(*jobs: Outcome) -> Tally:
    result = Tally(knowledge())
    for outcome in jobs:
        result.add(outcome)
    return result


def test_the_cards_that_the_tests_speak_of_are_there() -> None:
    assert {SEAL, CORE, SHAFT} <= set(knowledge().causes)


def test_each_found_cause_counts_once() -> None:
    counted = tally(Outcome(found=(SEAL, CORE, SEAL)), Outcome(found=(SEAL,)))
    assert counted.whole == {SEAL: 2, CORE: 1}
    assert counted.looked == 2


def test_nothing_wrong_is_a_finding_and_none_of_these_is_a_cause() -> None:
    counted = tally(Outcome(), Outcome(found=(UNLISTED,)))
    assert (counted.looked, counted.nothing, counted.whole[UNLISTED]) == (2, 1, 1)


def test_cured_without_looking_counts_in_parts_by_belief_and_cure() -> None:
    believed = {SEAL: 0.5, SHAFT: 0.5}
    counted = tally(
        Outcome(found=(NOT_LOOKED,), stage="air_can_service", cured=True, believed=believed)
    )
    assert counted.partly == 1
    assert sum(counted.counts.values()) == pytest.approx(1.0)
    # An air can service cures the air seal and hardly ever the damper's.
    assert counted.counts[SEAL] > 10 * counted.counts[SHAFT]
    assert not counted.whole


@pytest.mark.parametrize("cured", [False, None])
def test_not_looked_and_not_cured_says_nothing(cured: bool | None) -> None:
    believed = {SEAL: 1.0}
    counted = tally(
        Outcome(found=(NOT_LOOKED,), stage="air_can_service", cured=cured, believed=believed)
    )
    assert (counted.left_out, counted.counts) == (1, {})


def test_a_cause_without_a_card_is_counted_apart() -> None:
    counted = tally(Outcome(found=("retired_long_ago",)))
    assert counted.unknown == {"retired_long_ago": 1}
    assert counted.counts == {}


def test_a_job_that_was_given_up_does_not_say_that_nothing_was_wrong() -> None:
    counted = tally(Outcome(ended="not_wanted"), Outcome(ended="replaced", found=(SEAL,)))
    assert (counted.looked, counted.nothing, counted.left_out) == (1, 0, 1)
