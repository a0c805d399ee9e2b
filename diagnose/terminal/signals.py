"""Signals end the talk between two steps, never inside one.

While a door waits for a person, a signal ends the wait at once. While something is computed or
saved, it is only noted, and the next wait ends before it begins.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

from diagnose.terminal.door import Interrupted

__all__ = ["ENDING", "Signals"]

#: signal -> exit status of the process (128 + number, as shells report it)
ENDING: dict[int, int] = {
    number: 128 + number
    for name in ("SIGINT", "SIGTERM", "SIGHUP")
    if (number := getattr(signal, name, None)) is not None
}


class Signals:
    """Python-level handlers for as long as a talk lasts."""

    def __init__(self) -> None:
        self._noted = 0
        self._waiting = False
        self._before: dict[int, Any] = {}

    def __enter__(self) -> Signals:
        if threading.current_thread() is threading.main_thread():
            self._before = {number: signal.getsignal(number) for number in ENDING}
            self.renew()
        return self

    def __exit__(self, *_: object) -> None:
        for number, handler in self._before.items():
            signal.signal(number, handler)
        self._before = {}

    def renew(self) -> None:
        """Install again: an event loop that closes leaves the system's own handlers behind."""
        for number in self._before:
            signal.signal(number, self._note)

    def check(self) -> None:
        """Raise what was noted.

        Raises
        ------
        Interrupted
        """
        if self._noted:
            raise Interrupted(ENDING[self._noted])

    @contextmanager
    def waiting(self) -> Iterator[None]:
        """Inside, a signal ends the wait at once."""
        self.check()
        self._waiting = True
        try:
            yield
        finally:
            self._waiting = False

    def _note(self, number: int, _: FrameType | None) -> None:
        self._noted = number
        if self._waiting:
            self.check()
