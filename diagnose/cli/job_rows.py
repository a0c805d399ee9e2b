"""One job of a list, as `jobs list` and `jobs queue` print it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.job.queue import Standing
    from diagnose.records.summary import Summary

__all__ = ["row_lines", "standing_of"]


def standing_of(row: Summary) -> Standing:
    """Where a listed job stands."""
    from diagnose.job.queue import Standing

    return Standing(row.state, row.since, row.due)


def row_lines(row: Summary, now: str, width: int, mark: str = "") -> list[str]:
    """One job of a list, fitted to a width in columns."""
    from diagnose.job.queue import told
    from diagnose.reports.wrapping import wrapped

    who = f" ({row.person})" if row.person else ""
    stage = f", {row.stage.replace('_', ' ')}" if row.stage else ""
    said = f": {row.first_words}" if row.first_words else ""
    text = f"{row.job}  {told(standing_of(row), now)}{who}{stage}{said}"
    return wrapped(text, width, mark, " " * len(mark) + "    ")
