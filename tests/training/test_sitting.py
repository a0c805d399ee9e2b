"""Two that look alike are one sitting: played one after the other, gone on with anywhere."""

from __future__ import annotations

import pytest

from diagnose.errors import InputError
from diagnose.training.apprentices import best_move
from diagnose.training.generate import contrast, contrasts, generate
from diagnose.training.moment import Coach
from diagnose.training.scenario import Scenario
from diagnose.training.sitting import Sitting


@pytest.fixture(scope="module")
def pair(coach: Coach) -> tuple[Scenario, Scenario]:
    return contrast(coach.compiled, contrasts(coach.compiled)[0], 1)


def play(sitting: Sitting) -> None:
    while not sitting.done:
        sitting.apply(best_move(sitting.now))


def test_the_second_begins_where_the_first_ends(
    coach: Coach, pair: tuple[Scenario, Scenario]
) -> None:
    sitting = Sitting(coach, pair)
    while len(sitting.played) == 1:
        sitting.apply(best_move(sitting.now))
    assert not sitting.done
    assert sitting.told.startswith("Put aside")
    assert sitting.now.scenario == pair[1]
    assert pair[1].complaint in sitting.prompt().text
    play(sitting)
    assert [exercise.result.score for exercise in sitting.played] == [100.0, 100.0]
    with pytest.raises(InputError):
        sitting.reply("1")


def test_it_goes_on_in_either_half(coach: Coach, pair: tuple[Scenario, Scenario]) -> None:
    whole = Sitting(coach, pair)
    play(whole)
    first, second = whole.moves
    for moves in ([], [first[:2]], [first], [first, []], [first, second[:2]]):
        again = Sitting(coach, pair, moves)
        play(again)
        assert [e.result for e in again.played] == [e.result for e in whole.played]


def test_one_scenario_is_a_sitting_too(coach: Coach) -> None:
    sitting = Sitting(coach, [generate(coach.compiled, 3)])
    play(sitting)
    assert len(sitting.played) == 1
