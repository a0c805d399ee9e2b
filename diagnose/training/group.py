"""The ten-minute group way: one screen, everybody calls out a number, nothing is kept of anybody.

Rules
-----
- The choice with the most votes is made. Where two have as many, it is talked over and voted again:
  that talk is what a group is for.
- How sure the group is, is the middle of what its people say.
- After ten minutes the call is made with what is in hand.
"""

from __future__ import annotations

import re
import statistics
from collections import Counter
from collections.abc import Callable
from typing import TYPE_CHECKING

from diagnose.errors import DiagnoseError, InputError
from diagnose.training.calling import percent

if TYPE_CHECKING:
    from diagnose.conversation.prompts import Prompt

__all__ = ["Group"]

#: of a case where the trainer names no time: a desk's patience for one complaint
_MINUTES = 10


class Group:
    """Votes and the clock of one group.

    Parameters
    ----------
    seconds : a clock that only runs forward [s]. say : shows a line.
    """

    help = "Everybody's numbers, then Enter: 3 1 3. . back, * cautions, / menu, q leave."
    over_words = "Ten minutes are over: make the call with what is in hand."

    def __init__(self, seconds: Callable[[], float], say: Callable[[str], None]) -> None:
        self._seconds = seconds
        self._began = seconds()
        self._say = say

    @property
    def _minute(self) -> int:
        return int((self._seconds() - self._began) // 60.0) + 1

    @property
    def over(self) -> bool:
        """The ten minutes are over."""
        return self._minute > _MINUTES

    @property
    def time_words(self) -> str:
        """Where the group is in its ten minutes."""
        return "" if self.over else f"Minute {self._minute} of {_MINUTES}."

    def choice(self, typed: str, prompt: Prompt) -> str:
        """What the votes come to.

        Raises
        ------
        InputError : no vote for anything on offer, or as many for one as for another.
        """
        if prompt.id == "sure":
            return self._middle(typed)
        keys = [answer.key for answer in prompt.answers]
        votes = Counter(vote for vote in re.split(r"[\s,;]+", typed) if vote in keys)
        if not votes:
            raise InputError(
                "no vote for anything on the list.", next_step=f"Vote for: {' '.join(keys)}."
            )
        (first, most), *others = votes.most_common()
        tied = [first, *(key for key, count in others if count == most)]
        if len(tied) > 1:
            raise InputError(
                f"as many votes for {' as for '.join(tied)}.",
                next_step="Say why, then vote again.",
            )
        text = next(answer.text for answer in prompt.answers if answer.key == first)
        self._say(f"{most} of {votes.total()} for {first}: {text}")
        return first

    def _middle(self, typed: str) -> str:
        """The median of the confidences that were called out [%]."""
        said = []
        for word in re.split(r"[\s,;]+", typed.replace(" %", "%")):
            try:
                said.append(percent(word))
            except DiagnoseError:
                continue
        if not said:
            percent(typed)
        middle = statistics.median(said)
        self._say(f"from {min(said):g} % to {max(said):g} %; the middle is {middle:g} %")
        return f"{middle:g} %"
