"""Long work, counted on standard error; Ctrl-C ends the work, not the report on what is done."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable
from typing import TypeVar

_Row = TypeVar("_Row")
_Result = TypeVar("_Result")

#: seconds between two counts: on a screen, and in a file
_SCREEN, _FILE = 0.2, 30.0


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
        told = time.monotonic()
        try:
            for row in rows:
                results.append(work(row))
                if time.monotonic() - told >= (_SCREEN if screen else _FILE):
                    told = time.monotonic()
                    count = f"{what}: {len(results)} of {len(rows)}"
                    print(f"\r{count}" if screen else count, end="" if screen else "\n",
                          file=sys.stderr, flush=True)  # fmt: skip
        except KeyboardInterrupt:
            self.interrupted = True
            print(f"\ninterrupted; {what}: {len(results)} of {len(rows)}", file=sys.stderr)
        else:
            if screen:
                print("\r\x1b[K", end="", file=sys.stderr, flush=True)
        return results
