"""Simulated apprentices, from one who guesses to one who knows all that the evidence says.

Rules
-----
- Nobody here knows the truth: what they do follows from the evidence, their skill and their seed.
- The best one is also the path that the debrief shows beside the apprentice's own.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from diagnose.training.calling import NO_FAULT, NONE, RIDES
from diagnose.training.exercise import Exercise, Move
from diagnose.training.moment import LOOK, Coach
from diagnose.training.scenario import Scenario
from diagnose.training.scoring import Result

__all__ = ["APPRENTICES", "Apprentice", "best_move", "best_path", "play"]

#: steps after which a simulated apprentice decides
_LIMIT = 14


@dataclass(frozen=True)
class Apprentice:
    """Somebody who makes the best move with a certain chance, and guesses otherwise.

    ``skill``: that chance, 0 to 1. ``patience``: chance that a guess is one more step and not the
    call.
    """

    name: str
    skill: float
    patience: float = 0.75


#: from random to optimal
APPRENTICES: tuple[Apprentice, ...] = (
    Apprentice("guesses", 0.0),
    Apprentice("first week", 0.25),
    Apprentice("first year", 0.5),
    Apprentice("second year", 0.7),
    Apprentice("nearly there", 0.87),
    Apprentice("best", 1.0),
)


def best_move(exercise: Exercise) -> Move:
    """The move of somebody who knows all that the evidence says, and nothing more."""
    moment = exercise.moment
    match exercise.phase:
        case "caution":
            return Move(kind="acknowledge")
        case "work":
            if not moment.looked:
                return Move(kind="do", value=LOOK)
            best = moment.best_id
            return Move(kind="call") if best is None else Move(kind="do", value=best)
        case "stage":
            return Move(kind="stage", value=moment.stages[0])
        case "also":
            return Move(kind="also", value=next(iter(moment.stages[1:]), NONE))
        case "cause":
            top, chance = next(iter(moment.view.causes.items()))
            return Move(kind="cause", value=top if chance > moment.view.no_fault else NO_FAULT)
        case "second":
            return Move(kind="second", value=NONE)
        case "ride":
            return Move(kind="ride", value=moment.view.ride.verdict)
        case _:
            chance = moment.chance_of(exercise.named)
            return Move(kind="sure", value=f"{min(max(100.0 * chance, 1.0), 99.0):.0f}")


def _guess(exercise: Exercise, apprentice: Apprentice, rng: random.Random) -> Move:
    """Any of what is offered, without looking at what is worth it."""
    match exercise.phase:
        case "caution":
            return Move(kind="acknowledge" if rng.random() < 0.8 else "leave_out")
        case "work":
            if rng.random() > apprentice.patience:
                return Move(kind="call")
            offered = [a.state for a in exercise.prompt().answers[:-3]]
            return Move(kind="do", value=rng.choice(offered))
        case "ride":
            return Move(kind="ride", value=rng.choice(list(RIDES)))
        case "second":
            return Move(kind="second", value=NONE)
        case part:
            offered = [a.state for a in exercise.prompt().answers if a.state != "more"]
            return Move(kind=part, value=rng.choice(offered))  # type: ignore[arg-type]


def play(coach: Coach, scenario: Scenario, apprentice: Apprentice, seed: int = 0) -> Result:
    """Play a scenario to its end; the same for the same seed."""
    exercise = Exercise(coach, scenario)
    rng = random.Random(f"{apprentice.name}:{scenario.id}:{seed}")
    while exercise.phase != "done":
        if exercise.phase == "work" and len(exercise.steps) >= _LIMIT:
            move = Move(kind="call")
        elif rng.random() < apprentice.skill:
            move = best_move(exercise)
        else:
            move = _guess(exercise, apprentice, rng)
        exercise.apply(move)
    return exercise.result


def best_path(coach: Coach, scenario: Scenario) -> Result:
    """The session of somebody who makes the best move every time."""
    return play(coach, scenario, APPRENTICES[-1])
