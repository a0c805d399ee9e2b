"""The door with a screen: the open question is drawn in place, answered ones stay above.

Rules
-----
- Inline, never full screen. What does not fit is turned by pages; nothing is cut.
- An answer counts only once its own text has been on the screen: below a long caution, the answer
  waits until the caution was paged through.
- A new size draws the open question anew, wrapped for it.
- The cursor's position is never asked of the terminal, so that no reply can arrive as a key.
"""

from __future__ import annotations

import os
import shutil
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from diagnose.cells import Line, wrap
from diagnose.terminal.door import Block, Interrupted, Left, Screen
from diagnose.terminal.idle import Idle
from diagnose.terminal.keys import Guard, Press
from diagnose.terminal.running import fragments_of, prepare
from diagnose.terminal.signals import Signals
from diagnose.terminal.styles import style

if TYPE_CHECKING:
    from prompt_toolkit.application import Application
    from prompt_toolkit.input import Input
    from prompt_toolkit.output import Output

__all__ = ["LiveDoor", "open_terminal"]

#: wider lines are harder to read
_WIDEST = 100
#: status after a hang-up: the terminal is gone
_HUNG_UP = 129


def open_terminal(*, colour: bool) -> tuple[Input, Output]:
    """Keyboard and screen of this process."""
    from prompt_toolkit.input import create_input
    from prompt_toolkit.output import create_output

    if sys.platform == "win32":
        return create_input(), create_output()
    from prompt_toolkit.data_structures import Size
    from prompt_toolkit.output.color_depth import ColorDepth
    from prompt_toolkit.output.vt100 import Vt100_Output

    def size() -> Size:
        columns, rows = shutil.get_terminal_size()
        return Size(rows=rows, columns=columns)

    output = Vt100_Output(
        sys.stdout,
        size,
        term=os.environ.get("TERM"),
        default_color_depth=None if colour else ColorDepth.DEPTH_1_BIT,
        enable_cpr=False,
    )
    return create_input(sys.stdin), output


class LiveDoor:
    """A terminal.

    Parameters
    ----------
    width : columns, None: the terminal's, 100 at most. guard : seconds, see `Guard`.
    idle : seconds, see `Idle`.
    """

    keeps = False

    def __init__(
        self,
        keyboard: Input,
        screen: Output,
        *,
        width: int | None = None,
        guard: float = 0.25,
        idle: float = 0.0,
        signals: Signals | None = None,
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        self._in = keyboard
        self._out = screen
        self._wide = width
        self._guard = Guard(guard, now)
        self._signals = signals or Signals()
        self.idle = Idle(idle)
        self.top = ""
        #: what goes on from a text that was typed so far; set once it is known
        self.complete: Callable[[str], Sequence[str]] = lambda typed: ()

    @property
    def width(self) -> int:
        """Columns to write in now."""
        columns = self._out.get_size().columns
        return min(self._wide or _WIDEST, columns)

    @property
    def rows(self) -> int:
        """Rows to write in now; one stays free, so that nothing scrolls by itself."""
        return max(self._out.get_size().rows - 1, 3)

    def top_lines(self, width: int) -> list[Line]:
        """What stands above every question, at this width."""
        return wrap([("top", self.top)], width) if self.top else []

    def say(self, draw: Callable[[int], Sequence[Block]]) -> None:
        """Show for good."""
        from prompt_toolkit.formatted_text import FormattedText
        from prompt_toolkit.shortcuts.utils import print_formatted_text

        lines = [line for block in draw(self.width) for line in block.lines]
        try:
            print_formatted_text(
                FormattedText(fragments_of(lines)), style=style(), output=self._out
            )
        except OSError:
            raise Interrupted(_HUNG_UP) from None

    def key(self, screen: Screen) -> Press:
        """Show a question and wait for one meaningful key."""
        from diagnose.terminal.live_key import KeyQuestion

        self._forget_typed()
        question = KeyQuestion(self, screen, self._guard)
        press: Press = self._run(question.application(self._in, self._out), screen.later)
        return press

    def line(self, screen: Screen) -> str:
        """Show a question and wait for one line of text."""
        from diagnose.terminal.live_line import FIELD, line_application

        high = sum(len(block.lines) for block in screen.draw(self.width))
        if high + len(self.top_lines(self.width)) > self.rows - FIELD:
            # Too high to stand above the field: it goes where nothing is cut.
            self.say(screen.draw)
            screen = replace(screen, draw=lambda width: [])
        if not screen.ahead:
            self._forget_typed()
        app = line_application(self, screen, self._guard, self._in, self._out)
        text: str = self._run(app, screen.later)
        return text

    def _forget_typed(self) -> None:
        """Drop what was typed before the question was there."""
        from prompt_toolkit.input.typeahead import clear_typeahead

        clear_typeahead(self._in)
        if sys.platform != "win32":
            import termios

            number = self._in.fileno()
            if os.isatty(number):
                termios.tcflush(number, termios.TCIFLUSH)

    def _run(self, app: Application[Any], later: Callable[[], None] | None) -> Any:
        self._signals.check()
        try:
            first = partial(prepare, app, later, self._guard, self.idle)
            return app.run(pre_run=first, handle_sigint=False)
        except EOFError:
            raise Left from None
        except OSError:
            raise Interrupted(_HUNG_UP) from None
        finally:
            self._signals.renew()
