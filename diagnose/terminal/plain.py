"""The door where there is no screen: whole lines out, whole lines in.

For a screen reader, TERM=dumb, a pipe, and ``--plain``. Same keys and words as on the screen; a
blank line answers nothing but what is proposed; the end of the input saves and leaves.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TextIO

from diagnose.cells import Line, clean, plain_text, wrap
from diagnose.terminal.door import Block, Interrupted, Left, Screen
from diagnose.terminal.keys import Press, read
from diagnose.terminal.parts import key_lines
from diagnose.terminal.signals import Signals

__all__ = ["PlainDoor"]

#: status of a process whose reader went away, as after SIGPIPE
_CLOSED = 141


class PlainDoor:
    """Lines on two streams.

    Parameters
    ----------
    width : columns.
    """

    keeps = True

    def __init__(
        self, lines_in: TextIO, lines_out: TextIO, width: int, signals: Signals | None = None
    ) -> None:
        self._signals = signals or Signals()
        self._in = lines_in
        self._out = lines_out
        self._width = width
        self.top = ""
        self.complete: Callable[[str], Sequence[str]] = lambda typed: ()

    def say(self, draw: Callable[[int], Sequence[Block]]) -> None:
        """Show for good."""
        for block in draw(self._width):
            self._lines(block.lines)

    def key(self, screen: Screen) -> Press:
        """Show a question; one line with a key, or a command's name, answers it."""
        if screen.later is not None:
            screen.later()
        self._top()
        self.say(screen.draw)
        self._lines(key_lines(screen.commands, self._width))
        while True:
            typed = self._line("> ")
            typed = typed or screen.enter
            if not typed:
                continue
            several = screen.marks is not None
            press = read(
                typed, screen.keys, screen.commands, several=several, letters=screen.letters
            )
            if press.kind in ("answer", "command"):
                return press
            self._lines([(("", f"'{clean(typed)[:20]}' does nothing here."),)])
            self._lines(key_lines(screen.commands, self._width))

    def line(self, screen: Screen) -> str:
        """Show a question; one line answers it."""
        self._top()
        self.say(screen.draw)
        return self._line("> ")

    def _top(self) -> None:
        if self.top:
            self._lines(wrap([("top", self.top)], self._width))

    def _line(self, prompt: str) -> str:
        self._write(prompt)
        with self._signals.waiting():
            typed = self._in.readline()
        if not typed:
            self._write("\n")
            raise Left
        return typed.strip()

    def _lines(self, lines: Sequence[Line]) -> None:
        self._write(plain_text(lines) + "\n")

    def _write(self, text: str) -> None:
        encoding = self._out.encoding or "utf-8"
        shown = text.replace("\N{NO-BREAK SPACE}", " ")
        try:
            self._out.write(shown.encode(encoding, "replace").decode(encoding))
            self._out.flush()
        except BrokenPipeError:
            raise Interrupted(_CLOSED) from None
