"""A keyboard that types a script into a drawn terminal, and prompts of every kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pyte
import pytest
from prompt_toolkit.application import Application
from prompt_toolkit.data_structures import Size
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output.vt100 import Vt100_Output

from diagnose.terminal.live import LiveDoor

SIZES = [(80, 24), (40, 15), (30, 10)]


class Paper:
    """A text stream that a terminal draws."""

    encoding = "utf-8"

    def __init__(self, columns: int, rows: int) -> None:
        self.screen = pyte.HistoryScreen(columns, rows, history=5000)
        self._stream = pyte.Stream(self.screen)

    def write(self, text: str) -> int:
        # A terminal in raw mode gets line ends with carriage returns from the line discipline.
        self._stream.feed(text.replace("\r\n", "\n").replace("\n", "\r\n"))
        return len(text)

    def flush(self) -> None:
        """Nothing is kept back."""

    def isatty(self) -> bool:
        return True

    def fileno(self) -> int:
        return -1

    @property
    def rows(self) -> list[str]:
        return [row.rstrip() for row in self.screen.display]

    @property
    def scrolled(self) -> str:
        above = [
            "".join(line[x].data for x in range(self.screen.columns)).rstrip()
            for line in self.screen.history.top
        ]
        return "\n".join([*above, *self.rows])


class Typist(LiveDoor):
    """A terminal whose keys come one by one, each after the screen was drawn.

    ``views``: rows of the screen before each key.
    """

    def __init__(
        self, keyboard: PipeInput, paper: Paper, script: list[str], **options: Any
    ) -> None:
        self.paper = paper
        self.script = script
        self.views: list[list[str]] = []
        self._keyboard = keyboard
        self._sent = False
        self.on_view: Callable[[], None] = lambda: None
        screen = paper.screen
        output = Vt100_Output(
            paper,  # type: ignore[arg-type]
            lambda: Size(rows=screen.lines, columns=screen.columns),
            term="xterm",
            enable_cpr=False,
        )
        super().__init__(keyboard, output, **options)

    def _run(self, app: Application[Any], later: Callable[[], None] | None) -> Any:
        def drawn(_: object) -> None:
            # The library may draw once more before it has read what was sent: a second key sent
            # then would be pressed with the first, and no view would lie between them.
            if app.is_done or not app.is_running or self._sent:
                return
            self.views.append(self.paper.rows)
            self.on_view()
            if self.script:
                keys = self.script.pop(0)
                self._sent = bool(keys)
                self._keyboard.send_text(keys)
            else:
                self._keyboard.close()

        def pressed(_: object) -> None:
            self._sent = False

        app.key_processor.before_key_press += pressed
        app.after_render += drawn
        return super()._run(app, later)


@pytest.fixture
def typist() -> Iterator[Callable[..., Typist]]:
    """Make a terminal of a size with a script of keys."""
    with create_pipe_input() as keyboard:

        def make(size: tuple[int, int], script: list[str], **options: Any) -> Typist:
            return Typist(keyboard, Paper(*size), script, **{"guard": 0.0, **options})

        yield make
