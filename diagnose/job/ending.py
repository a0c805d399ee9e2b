"""What is known of a job's end, as far as it was said."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

__all__ = ["Ended", "Ending"]

#: how a job ended, if not by our repair
Ended = Literal["", "not_wanted", "not_collected", "replaced", "referred"]


class Ending(BaseModel):
    """Answers at the end of a job; None: not said yet.

    Attributes
    ----------
    found : causes, ``unlisted`` or ``not_looked`` among them; empty: nothing was wrong. whole :
    nothing else was found. words : what was found, in words.
    ended : how it ended, if not by our repair. stage : what was done, an outcome or a small
    job.
    minutes : of work. parts : cost of parts [currency].
    test : the check that was repeated, ``complaint`` for what was complained of, empty: none.
    passed : whether it passed. called : the customer agreed to a bill above what was agreed before.
    unticked : steps of a begun sheet that are not ticked were ``done`` or ``left``.
    left : what -> setting, as it was given back.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    found: list[str] | None = None
    whole: bool | None = None
    words: str | None = None
    ended: Ended | None = None
    stage: str | None = None
    minutes: float | None = None
    parts: float | None = None
    test: str | None = None
    passed: bool | None = None
    called: bool | None = None
    unticked: Literal["", "done", "left"] | None = None
    left: dict[str, str] | None = None

    def with_more(self, more: Ending) -> Ending:
        """This, and what else was said.

        >>> Ending(minutes=40).with_more(Ending(parts=7.5))
        Ending(minutes=40.0, parts=7.5)
        """
        known: dict[str, Any] = {name: value for name, value in more if value is not None}
        return self.model_copy(update=known)

    def __repr_args__(self) -> list[tuple[str | None, Any]]:
        return [(name, value) for name, value in self if value is not None]
