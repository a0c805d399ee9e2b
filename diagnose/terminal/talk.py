"""The way in for a terminal: first the complaint, at once, then the talk about the job.

Nothing heavy is imported before `talk` is called, so that the first prompt never waits.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from diagnose.terminal.door import Door, Outcome, Settings, Tag
from diagnose.terminal.opening import Opening, first_complaint, has_screen, open_door
from diagnose.terminal.quiet import quiet_keyboard
from diagnose.terminal.signals import Signals

if TYPE_CHECKING:
    from diagnose.conversation.conversation import Conversation
    from diagnose.job.events import Event

__all__ = ["Opening", "Outcome", "Settings", "first_complaint", "talk"]

Save = Callable[[Sequence["Event"]], None]
Paper = Callable[[Sequence["Event"]], str]


def talk(
    conversation: Conversation,
    events: Sequence[Event],
    save: Save,
    *,
    clock: Callable[[], str],
    person: str,
    settings: Settings,
    said: str = "",
    papers: Mapping[str, Paper] | None = None,
    tag: Tag | None = None,
    results: int = 0,
    door: Door | None = None,
) -> Outcome:
    """Hold the conversation until it ends or the person leaves.

    Parameters
    ----------
    events : what the job has. save : makes new events durable, or raises `StoreError`.
    clock : ISO time. person : initials. said : the complaint, where `first_complaint` asked it.
    papers : name -> the job as text, for the menu. tag : at the bench, what tells this job from
    another. results : number of the check list whose results are typed first. door : for tests;
    None: what this process has.
    """
    with Signals() as signals, quiet_keyboard(door is None and has_screen(settings)):
        from diagnose.terminal.loop import Loop

        loop = Loop(
            conversation,
            list(events),
            save,
            clock=clock,
            person=person,
            settings=settings,
            papers=papers,
            tag=tag,
            door=door or open_door(settings, signals),
        )
        return loop.run(said, results)
