"""One question on the screen that waits for a line of text, with completion while typing."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from diagnose.cells import Line, cells, clean
from diagnose.terminal.door import Interrupted, Left, Screen
from diagnose.terminal.idle import Idle
from diagnose.terminal.keys import Guard
from diagnose.terminal.running import end, fragments_of, suspend
from diagnose.terminal.styles import style
from diagnose.terminal.surface import Surface

if TYPE_CHECKING:
    from prompt_toolkit.application import Application
    from prompt_toolkit.buffer import Buffer
    from prompt_toolkit.completion import Completer
    from prompt_toolkit.input import Input
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
    from prompt_toolkit.output import Output


__all__ = ["FIELD", "completer", "last_part", "line_application"]

#: rows that a line of text may need below its question
FIELD = 3
#: rows of the menu of completions, and letters from which it opens
_MENU, _LEAST = 5, 3
_PARTS = re.compile(r"[,.;:!?]\s*|\s+(?:and|but|also|then)\s+")


def last_part(text: str) -> str:
    """The part of a sentence that is being typed.

    >>> last_part("loses air overnight, and it cl")
    'and it cl'
    """
    return _PARTS.split(text)[-1].lstrip()


def line_application(
    door: Surface, screen: Screen, guard: Guard, keyboard: Input, output: Output
) -> Application[str]:
    """The question as a running thing of the terminal library."""
    from prompt_toolkit.application import Application
    from prompt_toolkit.buffer import Buffer
    from prompt_toolkit.filters import Condition
    from prompt_toolkit.layout import (
        BufferControl,
        CompletionsMenu,
        ConditionalContainer,
        Dimension,
        Float,
        FloatContainer,
        FormattedTextControl,
        HSplit,
        Layout,
        Window,
    )
    from prompt_toolkit.layout.processors import BeforeInput

    text = Buffer(
        completer=completer(lambda typed: door.complete(typed), lambda: door.width),
        complete_while_typing=True,
        multiline=False,
    )

    def typed(_: Buffer) -> None:
        door.idle.touched()

    text.on_text_changed += typed

    def rows() -> Dimension:
        menu = min(_MENU, max(door.rows - 4, 1)) if text.complete_state else 0
        return Dimension(min=1 + menu)

    fitting: dict[int, list[Line]] = {}

    def lines() -> list[Line]:
        if door.idle.hidden:
            return list(door.idle.lines(door.width))
        drawn = [line for block in screen.draw(door.width) for line in block.lines]
        whole = [*door.top_lines(door.width), *drawn]
        if len(whole) <= door.rows - FIELD:
            fitting[door.width] = whole
        # What comes later has room or is left out: it pushes no unit and no key off the screen.
        return fitting.get(door.width, whole)

    lines()

    above = FormattedTextControl(lambda: fragments_of(lines()))
    field = Window(
        BufferControl(text, input_processors=[BeforeInput("> ", "class:key")]),
        wrap_lines=True,
        height=rows,
        dont_extend_height=True,
    )
    shown = ConditionalContainer(field, Condition(lambda: not door.idle.hidden))
    body = FloatContainer(
        HSplit([Window(above, dont_extend_height=True), shown]),
        [Float(CompletionsMenu(max_height=_MENU), xcursor=True, ycursor=True)],
    )
    return Application(
        layout=Layout(body, focused_element=field),
        key_bindings=_bindings(
            text,
            door.idle,
            lambda: door.idle.hidden or (not screen.ahead and not guard.admits()),
            lambda: guard.admits("enter"),
        ),
        style=style(),
        input=keyboard,
        output=output,
        full_screen=False,
        erase_when_done=True,
    )


def _bindings(
    text: Buffer, idle: Idle, too_early: Callable[[], bool], admits_enter: Callable[[], bool]
) -> KeyBindings:
    from prompt_toolkit.filters import Condition
    from prompt_toolkit.key_binding import KeyBindings
    from prompt_toolkit.keys import Keys

    bindings = KeyBindings()

    @bindings.add(Keys.Any, filter=Condition(too_early), eager=True)
    def _(_: KeyPressEvent) -> None:
        """The key that led here bounced, or only shows the screen again."""
        idle.touched()

    @bindings.add("enter")
    def _(event: KeyPressEvent) -> None:
        if text.text or admits_enter():
            event.app.exit(result=clean(text.text).strip())

    @bindings.add("tab")
    def _(event: KeyPressEvent) -> None:
        if text.complete_state:
            text.complete_next()
        else:
            text.start_completion(select_first=False)

    @bindings.add("c-c")
    def _(event: KeyPressEvent) -> None:
        end(event.app, Interrupted(130))

    @bindings.add("c-d")
    def _(event: KeyPressEvent) -> None:
        if text.text:
            text.delete()
        else:
            end(event.app, Left())

    @bindings.add("c-z")
    def _(event: KeyPressEvent) -> None:
        suspend(event.app)

    return bindings


def completer(complete: Callable[[str], Sequence[str]], width: Callable[[], int]) -> Completer:
    """Completions of the part being typed; only those that a line of the menu shows whole."""
    from prompt_toolkit.completion import CompleteEvent, Completer, Completion
    from prompt_toolkit.document import Document

    class Sayings(Completer):
        def get_completions(
            self, document: Document, complete_event: CompleteEvent
        ) -> Iterable[Completion]:
            typed = last_part(document.text_before_cursor)
            if len(typed) < _LEAST:
                return
            for saying in complete(typed):
                if cells(saying) <= width() - 4:
                    yield Completion(saying, start_position=-len(typed))

    return Sayings()
