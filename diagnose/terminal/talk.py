"""The way in for a terminal: first the complaint, at once, then the talk about the job.

Nothing heavy is imported before `talk` is called, so that the first prompt never waits.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from diagnose.terminal.door import Door, Outcome, Settings
from diagnose.terminal.opening import Opening, first_complaint, open_door
from diagnose.terminal.signals import Signals

if TYPE_CHECKING:
    from diagnose.session.conversation import Conversation
    from diagnose.session.events import Event

__all__ = ["Opening", "Outcome", "Settings", "first_complaint", "talk"]

Save = Callable[[Sequence["Event"]], None]
Sheet = Callable[[Sequence["Event"]], str]


def talk(
    conversation: Conversation,
    events: Sequence[Event],
    save: Save,
    *,
    clock: Callable[[], str],
    person: str,
    settings: Settings,
    said: str = "",
    sheet: Sheet | None = None,
    door: Door | None = None,
) -> Outcome:
    """Hold the conversation until it ends or the person leaves.

    Parameters
    ----------
    events : what the job has. save : makes new events durable, or raises `StoreError`.
    clock : ISO time. person : initials. said : the complaint, where `first_complaint` asked it.
    sheet : the job as text, for the menu. door : for tests; None: what this process has.
    """
    with Signals() as signals:
        from diagnose.terminal.loop import Loop

        loop = Loop(
            conversation,
            list(events),
            save,
            clock=clock,
            person=person,
            settings=settings,
            sheet=sheet,
            door=door or open_door(settings, signals),
        )
        return loop.run(said)
