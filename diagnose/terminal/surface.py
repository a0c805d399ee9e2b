"""What a question on the screen needs to know of the terminal that it stands on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from diagnose.cells import Line
from diagnose.terminal.idle import Idle

__all__ = ["Surface"]


class Surface(Protocol):
    """Room on the screen, what stands above every question, and whether somebody is there.

    ``complete``: what goes on from a text that was typed so far.
    """

    idle: Idle
    complete: Callable[[str], Sequence[str]]

    @property
    def width(self) -> int:
        """Columns to write in now."""

    @property
    def rows(self) -> int:
        """Rows to write in now."""

    def top_lines(self, width: int) -> list[Line]:
        """What stands above every question, at this width."""
