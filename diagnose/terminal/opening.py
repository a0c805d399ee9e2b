"""The first prompt, on the screen before anything heavy is imported.

The words are painted with nothing but the standard library; the terminal library and the
knowledge come while the person reads and types.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from diagnose.cells import plain_text, wrap
from diagnose.terminal.door import Door, Interrupted, Left, Screen, Settings
from diagnose.terminal.parts import note
from diagnose.terminal.quiet import quiet_keyboard
from diagnose.terminal.signals import Signals

if TYPE_CHECKING:
    from diagnose.conversation.conversation import Conversation

__all__ = ["Opening", "first_complaint", "has_screen", "open_door"]

QUESTION = "What does the customer say?"
HELP = "Their own words, then Enter. Alone on the line: * safety, ? the main complaints, q leave."

_PLAIN_WIDTH = 80


@dataclass(frozen=True)
class Opening:
    """The first words, or how the person left. ``status``: exit status if they left."""

    text: str = ""
    left: Literal["", "left", "interrupted"] = ""
    status: int = 0


def has_screen(settings: Settings) -> bool:
    """Whether questions can be drawn in place."""
    import os

    if settings.plain or os.environ.get("TERM", "") in ("", "dumb", "unknown"):
        return sys.platform == "win32" and not settings.plain
    return sys.stdin.isatty() and sys.stdout.isatty()


def open_door(settings: Settings, signals: Signals) -> Door:
    """The door that this process has."""
    if not has_screen(settings):
        from diagnose.terminal.plain import PlainDoor

        return PlainDoor(sys.stdin, sys.stdout, settings.width or _PLAIN_WIDTH, signals)
    from diagnose.terminal.live import LiveDoor, open_terminal

    keyboard, screen = open_terminal(colour=settings.colour)
    return LiveDoor(
        keyboard,
        screen,
        width=settings.width,
        guard=settings.guard,
        idle=settings.idle,
        signals=signals,
    )


def first_complaint(settings: Settings, load: Callable[[], Conversation] | None = None) -> Opening:
    """Ask for the complaint.

    Parameters
    ----------
    load : makes the conversation. Called in a thread once the prompt is there; what it gives
    completes the words while they are typed. What it raises shows when the caller calls it again.
    """
    import shutil

    width = settings.width or min(shutil.get_terminal_size().columns, 100)
    with Signals() as signals, quiet_keyboard(has_screen(settings)):
        try:
            sys.stdout.write(plain_text(wrap([("question", QUESTION)], width)) + "\n")
            sys.stdout.flush()
            return _ask(open_door(settings, signals), load)
        except BrokenPipeError:
            return Opening(left="interrupted", status=141)
        except Left:
            return Opening(left="left")
        except Interrupted as reason:
            return Opening(left="interrupted", status=reason.status)


def _ask(door: Door, load: Callable[[], Conversation] | None) -> Opening:
    if load is not None:
        threading.Thread(target=_complete, args=(door, load), daemon=True).start()
    while True:
        text = door.line(Screen(note("keys", HELP), ahead=True))
        if text == "q":
            return Opening(left="left")
        if text == "*" and load is not None:
            from diagnose.terminal.safety import all_cautions

            door.say(all_cautions(load()))
        elif text == "*":
            door.say(note("note", "The safety screen opens after the first words."))
        elif text:
            # At once, for what comes next may take a moment to be ready.
            door.say(note("chosen", f"> {text}"))
            return Opening(text)
        else:
            door.say(note("error", "Nothing was said. Type the customer's words."))


def _complete(door: Door, load: Callable[[], Conversation]) -> None:
    try:
        recogniser = load().reasoner.recogniser
    except Exception:
        # The caller loads again and reports; completion is only a help.
        return
    door.complete = recogniser.complete
