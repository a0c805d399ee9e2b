"""The keyboard without echo for as long as a talk lasts.

Keys that are pressed while the program computes would else be printed by the terminal itself, in
the middle of what is drawn next.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

__all__ = ["as_found", "quiet_keyboard"]

#: the terminal's own settings, while they are changed; one process has one keyboard
_found: list[list[Any]] = []


@contextmanager
def quiet_keyboard(wanted: bool) -> Iterator[None]:
    """Inside, typed letters show only where the program draws them."""
    if sys.platform == "win32" or not wanted or _found:
        yield
        return
    import termios

    before = termios.tcgetattr(sys.stdin)
    _found.append(before)
    _silence(before)
    try:
        yield
    finally:
        _found.clear()
        _restore(before)


@contextmanager
def as_found() -> Iterator[None]:
    """Inside, the terminal is as the shell left it: for as long as the process is suspended."""
    if not _found:
        yield
        return
    _restore(_found[0])
    try:
        yield
    finally:
        _silence(_found[0])


def _silence(before: list[Any]) -> None:
    import termios

    quiet = [*before]
    quiet[3] = before[3] & ~termios.ECHO
    termios.tcsetattr(sys.stdin, termios.TCSANOW, quiet)


def _restore(before: list[Any]) -> None:
    import termios

    try:
        termios.tcsetattr(sys.stdin, termios.TCSANOW, before)
    except termios.error:
        # The terminal has gone; there is nothing to restore.
        return
