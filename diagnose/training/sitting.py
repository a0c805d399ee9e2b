"""What is played before the true causes are shown: one scenario, or two alike, one by one.

Rules
-----
- Of a pair the first is put aside without a word: its debrief names what it looks like, and that
  is the truth of the second. Both are shown together at the end.
- A sitting is its scenarios and their moves, so that one that was broken off goes on anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.conversation.prompts import Prompt
from diagnose.training.exercise import Exercise, Move
from diagnose.training.moment import Coach
from diagnose.training.scenario import Scenario

__all__ = ["Sitting"]

_NEXT = (
    "Put aside: what it was is told with the next one. Another customer comes in and says the same."
)


class Sitting:
    """Scenarios that are played one after the other.

    Parameters
    ----------
    scenarios : at least one. moves : of each that was begun, of a sitting that goes on.

    Attributes
    ----------
    played : a session for each scenario that was begun. told : what the last move brought.
    """

    def __init__(
        self, coach: Coach, scenarios: Sequence[Scenario], moves: Sequence[Sequence[Move]] = ()
    ) -> None:
        self.coach = coach
        self.scenarios = tuple(scenarios)
        self.played = [Exercise(coach, self.scenarios[0], moves[0] if moves else ())]
        self.told = self.now.told
        for later in moves[1:]:
            self._next(later)
        if self.now.phase == "done" and not self.done:
            self._next(())

    @property
    def now(self) -> Exercise:
        """The session that is being played."""
        return self.played[-1]

    @property
    def done(self) -> bool:
        """Every scenario was played to its end."""
        return len(self.played) == len(self.scenarios) and self.now.phase == "done"

    @property
    def moves(self) -> list[list[Move]]:
        """The moves of each session so far."""
        return [exercise.moves for exercise in self.played]

    def prompt(self) -> Prompt:
        """What to show next."""
        return self.now.prompt()

    def reply(self, value: object) -> Move:
        """The move that a key, an id or words mean at this moment.

        Raises
        ------
        InputError : none of the answers; names them.
        """
        return self.now.reply(value)

    def apply(self, move: Move) -> None:
        """Make a move; the next scenario begins where one ends.

        Raises
        ------
        InputError : it does not fit here; nothing is changed.
        """
        self.now.apply(move)
        self.told = self.now.told
        if self.now.phase == "done" and not self.done:
            self._next(())
            self.told = _NEXT

    def _next(self, moves: Sequence[Move]) -> None:
        scenario = self.scenarios[len(self.played)]
        self.played.append(Exercise(self.coach, scenario, moves))
        self.told = self.now.told
