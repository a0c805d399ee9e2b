"""Simulated apprentices, from one who guesses to one who makes the best choice every time.

Rules
-----
- Nobody here knows the truth: what they do follows from the evidence, their skill and their seed.
- Skill is a temperature: a choice that costs so much beyond the best is made e times less often
  than the best (Luce 1959, *Individual Choice Behavior*, with costs as utilities).
- The best one is also the path that the debrief shows beside the apprentice's own.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.training.calling import MORE, NO_FAULT, NONE, RIDES
from diagnose.training.exercise import Exercise, Move
from diagnose.training.menu import OPEN
from diagnose.training.moment import LOOK, Coach
from diagnose.training.scenario import Scenario
from diagnose.training.scoring import Result
from diagnose.training.showing import CALL, HINT

__all__ = ["APPRENTICES", "Apprentice", "best_move", "best_path", "play"]

#: steps after which a simulated apprentice decides; the best one does when nothing more pays
_LIMIT = 14

#: what naming a cause that is not there, or a ride one step too laxly, is felt to cost [currency]
_WRONG, _LAX = 60.0, 60.0


@dataclass(frozen=True)
class Apprentice:
    """Somebody with a temperature [currency]: 0 best, infinite a guess."""

    name: str
    temperature: float


#: from random to optimal
APPRENTICES: tuple[Apprentice, ...] = (
    Apprentice("guesses", math.inf),
    Apprentice("first week", 80.0),
    Apprentice("first year", 30.0),
    Apprentice("second year", 12.0),
    Apprentice("nearly there", 4.0),
    Apprentice("best", 0.0),
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
            return Move(kind="stage", value=moment.call[0])
        case "also":
            return Move(kind="also", value=next(iter(moment.call[1:]), NONE))
        case "cause":
            top, chance = next(iter(moment.view.belief.causes.items()))
            return Move(
                kind="cause", value=top if chance > moment.view.belief.no_fault else NO_FAULT
            )
        case "second":
            return Move(kind="second", value=NONE)
        case "ride":
            return Move(kind="ride", value=moment.view.belief.ride.verdict)
        case _:
            chance = moment.chance_of(exercise.named)
            return Move(kind="sure", value=f"{min(max(100.0 * chance, 1.0), 99.0):.0f}")


def _costs(exercise: Exercise) -> Mapping[str, float]:
    """What each answer at hand is felt to cost beyond the best [currency]."""
    moment = exercise.moment
    offered = [a.state for a in exercise.prompt().answers if a.state not in (MORE, HINT)]

    def cost(ident: str) -> float:
        match exercise.phase:
            case "work" if ident == CALL:
                # Whoever decides without having looked has a lapse at best.
                return moment.stop_regret() + (0.0 if moment.looked else _LAX)
            case "work" if ident.startswith(OPEN):
                return moment.opening_regret(ident.removeprefix(OPEN))
            case "work":
                harm = _LAX if ident in moment.forbidden else 0.0
                return moment.regret(ident) + harm
            case "stage":
                return moment.call_regret((ident,))
            case "also":
                chosen = exercise.called["stage"]
                return moment.call_regret((chosen,) if ident == NONE else (chosen, ident))
            case "cause":
                return _WRONG * (1.0 - moment.chance_of([] if ident == NO_FAULT else [ident]))
            case "second":
                return _WRONG * float(ident != NONE)
            case "ride":
                levels = list(RIDES)
                above = levels.index(ident) - levels.index(moment.view.belief.ride.verdict)
                return _LAX * max(-above, 0) + 15.0 * max(above, 0)
            case "sure":
                return _WRONG * abs(float(ident) / 100.0 - moment.chance_of(exercise.named))
            case _:
                return 0.0 if ident == "acknowledged" else 10.0

    return {ident: cost(ident) for ident in offered}


def _choose(exercise: Exercise, temperature: float, rng: random.Random) -> Move:
    costs = _costs(exercise)
    least = min(costs.values())
    weights = [math.exp(-(cost - least) / temperature) for cost in costs.values()]
    return exercise.reply(rng.choices(list(costs), weights)[0])


def play(coach: Coach, scenario: Scenario, apprentice: Apprentice, seed: int = 0) -> Result:
    """Play a scenario to its end; the same for the same seed."""
    exercise = Exercise(coach, scenario)
    rng = random.Random(f"{apprentice.name}:{scenario.id}:{seed}")
    while exercise.phase != "done":
        if apprentice.temperature == 0.0:
            move = best_move(exercise)
        elif exercise.phase == "work" and len(exercise.steps) >= _LIMIT:
            move = Move(kind="call")
        else:
            move = _choose(exercise, apprentice.temperature, rng)
        exercise.apply(move)
    return exercise.result


def best_path(coach: Coach, scenario: Scenario) -> Result:
    """The session of somebody who makes the best move every time."""
    return play(coach, scenario, APPRENTICES[-1])
