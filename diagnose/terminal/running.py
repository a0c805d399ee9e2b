"""What every question on the screen shares while it runs: signals, slow work, its end."""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from diagnose.cells import Line
from diagnose.terminal.door import Interrupted
from diagnose.terminal.idle import Idle
from diagnose.terminal.keys import Guard
from diagnose.terminal.quiet import as_found
from diagnose.terminal.signals import ENDING

if TYPE_CHECKING:
    from prompt_toolkit.application import Application
    from prompt_toolkit.formatted_text import StyleAndTextTuples

__all__ = ["end", "fragments_of", "prepare", "suspend"]


def prepare(
    app: Application[Any], later: Callable[[], None] | None, guard: Guard, idle: Idle
) -> None:
    """Inside the event loop, before the first drawing."""
    loop = asyncio.get_running_loop()
    for number, status in ENDING.items():
        _handle(loop, number, partial(end, app, Interrupted(status)))
    if hasattr(signal, "SIGTSTP"):
        _handle(loop, signal.SIGTSTP, partial(suspend, app))
    if later is not None:
        loop.run_in_executor(None, later).add_done_callback(lambda _: app.invalidate())
    if idle.seconds:
        app.create_background_task(idle.watch(app))
    guard.begin()


def _handle(loop: asyncio.AbstractEventLoop, number: int, act: Callable[[], None]) -> None:
    try:
        loop.add_signal_handler(number, act)
    except (NotImplementedError, RuntimeError, ValueError):
        # No signals on this platform's loop, or not the main thread: keys remain.
        return


def end(app: Application[Any], reason: BaseException) -> None:
    """End the question with an exception, once."""
    if app.future is not None and not app.future.done():
        app.exit(exception=reason)


def suspend(app: Application[Any]) -> None:
    """Stop this process with the terminal as the shell left it; go on where it was."""
    from prompt_toolkit.application import run_in_terminal

    def stop() -> None:
        with as_found():
            os.kill(os.getpid(), signal.SIGSTOP)

    run_in_terminal(stop)


def fragments_of(lines: Sequence[Line]) -> StyleAndTextTuples:
    """Lines as the terminal library takes them; it would underline a no-break space."""
    out: StyleAndTextTuples = []
    for n, line in enumerate(lines):
        if n:
            out.append(("", "\n"))
        for name, text in line:
            shown = text.replace("\N{NO-BREAK SPACE}", " ")
            out.append((f"class:{name.lower()}" if name else "", shown))
    return out
