"""The one family of errors: each says what, where, and what to do next.

Rules
-----
- Every error that can reach a user is a `DiagnoseError`; anything else is our own bug.
- An error carries parts, not prose; text is put together only in ``__str__``.
- ``exit_code`` is the process status of the command that ends with this error.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

__all__ = [
    "DiagnoseError",
    "InputError",
    "KnowledgeError",
    "Problem",
    "RefusedError",
    "StoreError",
    "UsageError",
]


class DiagnoseError(Exception):
    """Something a user can act on.

    Parameters
    ----------
    what : the fault in one sentence.
    where : file:line, job, field or option; empty if there is no place to name.
    next_step : what to do now; empty only if nothing can be done.
    """

    exit_code = 1

    def __init__(self, what: str, *, where: str = "", next_step: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.next_step = next_step

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        follow = f" {self.next_step}" if self.next_step else ""
        return f"{place}{self.what}{follow}"


class InputError(DiagnoseError):
    """A job, answer, unit or reading that cannot be understood."""


class RefusedError(DiagnoseError):
    """A step that the gate does not permit in the present state."""


class StoreError(DiagnoseError):
    """The job store cannot be read or written.

    ``meanwhile``: events that others wrote to the job, where that is why; what was refused is to be
    decided again, knowing them.
    """

    meanwhile: Sequence[Any] = ()


class UsageError(DiagnoseError):
    """Wrong command line."""

    exit_code = 2


@dataclass(frozen=True, order=True)
class Problem:
    """One fault in a data file, as the loader collects them."""

    file: str
    line: int
    what: str
    next_step: str = ""

    def __str__(self) -> str:
        follow = f" {self.next_step}" if self.next_step else ""
        return f"{self.file}:{self.line}: {self.what}{follow}"


class KnowledgeError(DiagnoseError):
    """The knowledge cannot be used; carries every problem found, not only the first."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = sorted(problems)
        count = len(self.problems)
        super().__init__(
            f"{count} problem{'s' if count != 1 else ''} in the knowledge files",
            next_step="Mend the files named above, then run: diagnose knowledge check",
        )

    def __str__(self) -> str:
        return "\n".join([*map(str, self.problems), super().__str__()])
