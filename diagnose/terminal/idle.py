"""A screen that nobody touches for some minutes goes blank: customers' words are not for the shop.

What is on the screen is wiped; the lines that have scrolled out of it lie with the terminal.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from diagnose.cells import Line, wrap

if TYPE_CHECKING:
    from prompt_toolkit.application import Application

__all__ = ["Idle"]

_WORDS = "Hidden while nobody is here. Any key shows the question again; it answers nothing."


class Idle:
    """Whether the screen is hidden.

    Parameters
    ----------
    seconds : without a key until then; 0: never. now : a clock that only goes forward [s].
    """

    def __init__(self, seconds: float, now: Callable[[], float] = time.monotonic) -> None:
        self.seconds = seconds
        self.hidden = False
        self._now = now
        self._since = now()

    def touched(self) -> bool:
        """A key came; true if all it did is to show the screen again."""
        self._since = self._now()
        was, self.hidden = self.hidden, False
        return was

    def lines(self, width: int) -> Sequence[Line]:
        """What is shown instead."""
        return wrap([("note", _WORDS)], width)

    async def watch(self, app: Application[Any]) -> None:
        """Hide the screen of a running question when the time has come."""
        self._since = self._now()
        while self.seconds:
            left = self._since + self.seconds - self._now()
            if left <= 0.0 and not self.hidden:
                self.hidden = True
                app.renderer.clear()
                app.invalidate()
            await asyncio.sleep(max(left, 0.05) if not self.hidden else self.seconds)
