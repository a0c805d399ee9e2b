"""Long work, counted with its time left on standard error.

Ctrl-C ends the work, not the report on what is done.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable
from typing import TypeVar

_Row = TypeVar("_Row")
_Result = TypeVar("_Result")

#: seconds between two counts: on a screen, and in a file
_SCREEN, _FILE = 0.2, 30.0
#: seconds after which the pace tells something
_TELLS = 3.0


def time_left(spent: float, done: int, whole: int) -> str:
    """How long the rest takes at the pace so far [s]; empty while that cannot be told.

    >>> time_left(60.0, 10, 30), time_left(20.0, 10, 12), time_left(1.0, 1, 400)
    (', about 2 min left', ', about 4 s left', '')
    """
    if spent < _TELLS or not done:
        return ""
    rest = spent / done * (whole - done)
    return f", about {rest / 60.0:.0f} min left" if rest >= 90.0 else f", about {rest:.0f} s left"


class Progress:
    """``interrupted``: somebody ended the work before it was done."""

    def __init__(self) -> None:
        self.interrupted = False

    @property
    def status(self) -> int:
        return 130 if self.interrupted else 0

    def each(
        self, work: Callable[[_Row], _Result], rows: Iterable[_Row], what: str
    ) -> list[_Result]:
        """What ``work`` gives for each row, as far as it came."""
        rows = list(rows)
        results: list[_Result] = []
        if self.interrupted:
            return results
        screen = sys.stderr.isatty()
        begun = told = time.monotonic()
        try:
            for row in rows:
                results.append(work(row))
                if time.monotonic() - told >= (_SCREEN if screen else _FILE):
                    told = time.monotonic()
                    count = f"{what}: {len(results)} of {len(rows)}"
                    count += time_left(told - begun, len(results), len(rows))
                    print(f"\r{count}\x1b[K" if screen else count, end="" if screen else "\n",
                          file=sys.stderr, flush=True)  # fmt: skip
        except KeyboardInterrupt:
            self.interrupted = True
            print(f"\ninterrupted; {what}: {len(results)} of {len(rows)}", file=sys.stderr)
        else:
            if screen:
                print("\r\x1b[K", end="", file=sys.stderr, flush=True)
        return results
