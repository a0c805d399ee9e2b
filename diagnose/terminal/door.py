"""What the conversation's loop needs of a door, whether it draws a screen or prints lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, Protocol

from diagnose.cells import Line
from diagnose.terminal.keys import Press

if TYPE_CHECKING:
    from diagnose.job.events import Event

__all__ = ["Block", "Door", "Interrupted", "Left", "Outcome", "Screen", "Settings", "Tag"]


@dataclass(frozen=True)
class Block:
    """Lines that belong together on one page. ``keys``: the answers that these lines offer."""

    lines: tuple[Line, ...]
    keys: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Screen:
    """What one question shows.

    ``draw``: blocks for a width. ``commands``: in the order of the key line. ``keys``: of answers.
    ``later``: slow work whose result `draw` shows once it is there; done while the person reads.
    ``ahead``: what was typed before it showed counts, as for the first words. ``enter``: key of the
    answer that Enter takes, where that is said on the screen. ``marks``: keys that are chosen,
    where a question takes several: the door adds and takes away until Enter, or the key ``alone``,
    which means none of them; `draw` shows them, and the press then names them all. ``letters``:
    that mean the key of an answer.
    """

    draw: Callable[[int], list[Block]]
    keys: tuple[str, ...] = ()
    commands: tuple[str, ...] = ()
    later: Callable[[], None] | None = None
    ahead: bool = False
    enter: str = ""
    marks: set[str] | None = None
    alone: str = ""
    letters: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Settings:
    """How to talk.

    Attributes
    ----------
    width : columns, None: as wide as the terminal, 100 at most. plain : line by line.
    colour : False: no colours (bold and underline stay).
    guard : seconds for which keys are dropped after a question appears. idle : seconds without a
    key after which the screen, and with it the customer's words, is blanked; 0: never.
    """

    width: int | None = None
    plain: bool = False
    colour: bool = True
    guard: float = 0.25
    idle: float = 0.0


@dataclass(frozen=True)
class Outcome:
    """How the talk ended.

    Attributes
    ----------
    events : all events of the job, the saved and the unsaved. status : exit status of the process:
    0, 129 (hang-up), 130 (interrupted) or 143 (terminated). unsaved : what the store did not take.
    """

    events: list[Event]
    left: Literal["done", "left", "interrupted"]
    status: int = 0
    unsaved: list[Event] = field(default_factory=list)


class Left(Exception):
    """The person leaves: end of input."""


class Interrupted(Exception):
    """A signal or a closed line ends the talk."""

    def __init__(self, status: int) -> None:
        super().__init__(status)
        self.status = status


class Tag(Protocol):
    """What tells one job from another at a bench where several lie."""

    @property
    def job(self) -> str:
        """The job's name; empty until it is stored."""

    def doubtful(self) -> bool:
        """Whether another job was in hand since this one's tag was read last."""

    def read(self) -> None:
        """This job's tag has just been read."""


class Door(Protocol):
    """One way of showing and asking.

    ``keeps``: a question stays in view after its answer. ``top``: stands above every question.
    ``complete``: what goes on from the words typed so far, where a door can show it.
    """

    keeps: bool
    top: str
    complete: Callable[[str], Sequence[str]]

    def say(self, draw: Callable[[int], Sequence[Block]]) -> None:
        """Show for good: it stays above what comes next."""

    def key(self, screen: Screen) -> Press:
        """Show a question and wait for one meaningful key.

        Raises
        ------
        Left, Interrupted
        """

    def line(self, screen: Screen) -> str:
        """Show a question and wait for one line of text.

        Raises
        ------
        Left, Interrupted
        """
