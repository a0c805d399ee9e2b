"""What a closed job counts for, looked into or not."""

from __future__ import annotations

import pytest

from diagnose.belief.compiled import UNLISTED
from diagnose.learning.tally import NOT_LOOKED, Tally
from diagnose.session.events import Closed
from tests.reports.pages import knowledge

SEAL, CORE, SHAFT = "can_seal_worn", "valve_core_loose", "shaft_seal_leak"


def tally(*jobs: tuple[Closed, dict[str, float]]) -> Tally:
    result = Tally(knowledge())
    for closed, believed in jobs:
        result.add(closed, believed)
    return result


def test_the_cards_that_the_tests_speak_of_are_there() -> None:
    assert {SEAL, CORE, SHAFT} <= set(knowledge().causes)


def test_each_found_cause_counts_once() -> None:
    counted = tally((Closed(found=[SEAL, CORE, SEAL]), {}), (Closed(found=[SEAL]), {}))
    assert counted.whole == {SEAL: 2, CORE: 1}
    assert counted.looked == 2


def test_nothing_wrong_is_a_finding_and_none_of_these_is_a_cause() -> None:
    counted = tally((Closed(found=[]), {}), (Closed(found=[UNLISTED], words="a wasp"), {}))
    assert (counted.looked, counted.nothing, counted.whole[UNLISTED]) == (2, 1, 1)


def test_cured_without_looking_counts_in_parts_by_belief_and_cure() -> None:
    closed = Closed(found=[NOT_LOOKED], stage="air_can_service", cured=True)
    counted = tally((closed, {SEAL: 0.5, SHAFT: 0.5}))
    assert counted.partly == 1
    assert sum(counted.counts.values()) == pytest.approx(1.0)
    # An air can service cures the air seal and hardly ever the damper's.
    assert counted.counts[SEAL] > 10 * counted.counts[SHAFT]
    assert not counted.whole


@pytest.mark.parametrize("cured", [False, None])
def test_not_looked_and_not_cured_says_nothing(cured: bool | None) -> None:
    counted = tally((Closed(found=[NOT_LOOKED], stage="air_can_service", cured=cured), {SEAL: 1.0}))
    assert (counted.left_out, counted.counts) == (1, {})


def test_a_cause_without_a_card_is_counted_apart() -> None:
    counted = tally((Closed(found=["retired_long_ago"]), {}))
    assert counted.unknown == {"retired_long_ago": 1}
    assert counted.counts == {}
