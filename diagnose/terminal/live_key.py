"""One question on the screen that waits for one key."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from diagnose.cells import Line, clean, wrap
from diagnose.terminal.door import Block, Interrupted, Left, Screen
from diagnose.terminal.keys import MENU, Guard, Press, read
from diagnose.terminal.pages import Page, paged
from diagnose.terminal.parts import key_lines
from diagnose.terminal.running import end, fragments_of, suspend
from diagnose.terminal.styles import style
from diagnose.terminal.surface import Surface

if TYPE_CHECKING:
    from prompt_toolkit.application import Application
    from prompt_toolkit.formatted_text import StyleAndTextTuples
    from prompt_toolkit.input import Input
    from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
    from prompt_toolkit.output import Output


__all__ = ["KeyQuestion"]

#: below so many rows the key line stands on the last page only
_LOW = 16

#: said of Enter where nothing is to be turned, and of an answer that was not shown
_NOTHING = "Enter answers nothing here."
_UNSEEN = "{} not shown yet: press Enter."

_FORWARD = ("enter", "pagedown", "down", "right", " ")
_BACKWARD = ("pageup", "up", "left")


class KeyQuestion:
    """The state of one open question: page, what was shown, the word about the last key."""

    def __init__(self, door: Surface, screen: Screen, guard: Guard) -> None:
        self._door = door
        self._screen = screen
        self._guard = guard
        self._block = 0
        self._part = 0
        self._shown: set[str] = set()
        self._word = ""

    def application(self, keyboard: Input, output: Output) -> Application[Press]:
        """The question as a running thing of the terminal library."""
        from prompt_toolkit.application import Application
        from prompt_toolkit.layout import FormattedTextControl, Layout, Window

        control = FormattedTextControl(self._text, focusable=True, show_cursor=False)
        return Application(
            layout=Layout(Window(control, dont_extend_height=True, wrap_lines=False)),
            key_bindings=self._bindings(),
            style=style(),
            input=keyboard,
            output=output,
            full_screen=False,
            erase_when_done=True,
        )

    # drawing -----------------------------------------------------------------------------------

    def _pages(self) -> list[Page]:
        """Pages for the size as it is now, whatever is said about the last key."""
        width = self._door.width
        blocks = self._screen.draw(width)
        keys = key_lines(self._screen.commands, width)
        if self._low:
            place = max((n for n, block in enumerate(blocks, 1) if block.keys), default=len(blocks))
            blocks.insert(place, Block(tuple(keys)))
            keys = []
        # Rows kept free for a word about a key, so that saying it turns no page and moves no line.
        word = max(len(wrap([("", text)], width)) for text in (_NOTHING, _UNSEEN))
        room = self._door.rows - len(self._door.top_lines(width))
        pages = paged(blocks, room - max(word, len(keys)))
        if len(pages) > 1:
            turning = len(wrap([("", self._turning(99, 99))], width))
            pages = paged(blocks, room - max(word, turning + len(keys)))
        return pages

    @property
    def _low(self) -> bool:
        """Too few rows for a key line on every page: it stands below the last answer."""
        return self._door.rows < _LOW

    def _turning(self, number: int, count: int) -> str:
        menu = " /: menu" if MENU in self._screen.commands else ""
        return f"page {number}/{count} Enter: next{menu}"

    def _said(self, width: int) -> list[Line]:
        return wrap([("error", self._word)], width) if self._word else []

    def _now(self, pages: list[Page]) -> int:
        """The page in view: the same place in the text, whatever the size has become."""
        fitting = [n for n, page in enumerate(pages) if self._block in page.blocks]
        first = fitting[0] if fitting else len(pages) - 1
        return min(first + self._part, fitting[-1] if fitting else first)

    def _text(self) -> StyleAndTextTuples:
        width = self._door.width
        if self._door.idle.hidden:
            return fragments_of(self._door.idle.lines(width))
        pages = self._pages()
        number = self._now(pages)
        self._shown |= pages[number].keys
        lines = [*self._door.top_lines(width), *pages[number].lines]
        lines += self._said(width)
        if len(pages) > 1:
            lines += wrap([("note", self._turning(number + 1, len(pages)))], width)
        if not self._low:
            lines += key_lines(self._screen.commands, width)
        # Where no row is free, a word about a key stands in place of what comes last, for one key.
        return fragments_of(lines[: self._door.rows])

    # keys --------------------------------------------------------------------------------------

    def _bindings(self) -> KeyBindings:
        from prompt_toolkit.key_binding import KeyBindings
        from prompt_toolkit.keys import Keys

        bindings = KeyBindings()

        @bindings.add(Keys.Any, eager=True)
        def _(event: KeyPressEvent) -> None:
            self._press(event)

        @bindings.add("c-c", eager=True)
        def _(event: KeyPressEvent) -> None:
            end(event.app, Interrupted(130))

        @bindings.add("c-d", eager=True)
        def _(event: KeyPressEvent) -> None:
            end(event.app, Left())

        @bindings.add("c-z", eager=True)
        def _(event: KeyPressEvent) -> None:
            suspend(event.app)

        @bindings.add("c-l", eager=True)
        def _(event: KeyPressEvent) -> None:
            event.app.renderer.clear()

        return bindings

    def _press(self, event: KeyPressEvent) -> None:
        pressed = event.key_sequence[0].key
        key = str(getattr(pressed, "value", pressed))
        key = "enter" if key in ("c-m", "c-j") else key
        if self._door.idle.touched() or not self._guard.admits(key):
            return
        marks = self._screen.marks
        if key == "enter" and marks:
            self._end(Press("answer", "".join(sorted(marks))), event.app)
        elif key == "enter" and self._screen.enter in self._shown:
            self._answer(self._screen.enter, event.app)
        elif key in _FORWARD or key in _BACKWARD:
            self._turn(1 if key in _FORWARD else -1)
        else:
            self._answer(key, event.app)

    def _turn(self, step: int) -> None:
        # A bounced key must not turn a page unread.
        self._guard.begin()
        self._word = ""
        pages = self._pages()
        if len(pages) == 1:
            self._word = _NOTHING
            return
        number = (self._now(pages) + step) % len(pages)
        self._block = pages[number].blocks.start
        holding = [n for n, page in enumerate(pages) if self._block in page.blocks]
        self._part = number - holding[0]

    def _answer(self, key: str, app: Application[Any]) -> None:
        screen = self._screen
        press = read(key, screen.keys, screen.commands, letters=screen.letters)
        marks = screen.marks
        if press.kind == "answer" and press.name not in self._shown:
            self._word = _UNSEEN.format(press.name)
            return
        if press.kind == "answer" and marks is not None:
            if press.name != self._screen.alone:
                marks ^= {press.name}
                self._word = ""
                return
            self._guard.taken_at_once()
            press = Press("answer", "".join(sorted(marks)) or press.name)
        if press.kind in ("answer", "command"):
            self._end(press, app)
        else:
            self._word = f"'{clean(key)[:8]}' does nothing here."

    def _end(self, press: Press, app: Application[Any]) -> None:
        if app.future is not None and not app.future.done():
            app.exit(result=press)
