"""Where the learned rates lie: versions in the shop's folder, of which the last is in force."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.errors import InputError, RefusedError

if TYPE_CHECKING:
    from diagnose.knowledge.loader import Knowledge

__all__ = ["apply_rates", "learned_rates", "step_back", "versions"]

FILE = "learned.json"


def versions(home: Path) -> list[dict[str, Any]]:
    """Every version that was applied and not taken back, oldest first.

    Raises
    ------
    InputError : the file is not as it was written.
    """
    path = home / FILE
    if not path.exists():
        return []
    try:
        rows = json.loads(path.read_text("utf-8"))["versions"]
        for row in rows:
            if not all(0.0 < float(rate) < 1e6 for rate in row["rates"].values()):
                raise ValueError
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError(
            "the learned rates cannot be read.",
            where=str(path),
            next_step="Move the file away to go by the cards, then learn again.",
        ) from error
    return list(rows)


def learned_rates(home: Path, knowledge: Knowledge) -> dict[str, float] | None:
    """The rates in force, in 1000 jobs, of causes that still have a card; None: the cards' own."""
    rows = versions(home)
    if not rows:
        return None
    return {c: float(r) for c, r in rows[-1]["rates"].items() if c in knowledge.causes}


def apply_rates(home: Path, version: dict[str, Any]) -> int:
    """Put a version in force; returns its number."""
    rows = [*versions(home), version]
    _write(home, rows)
    return len(rows)


def step_back(home: Path) -> int:
    """Take the last version back; returns the number of the one in force, 0 for the cards' own.

    Raises
    ------
    RefusedError : nothing was applied.
    """
    rows = versions(home)
    if not rows:
        raise RefusedError("nothing learned is in force.", next_step="The cards' rates hold.")
    _write(home, rows[:-1])
    return len(rows) - 1


def _write(home: Path, rows: list[dict[str, Any]]) -> None:
    path = home / FILE
    beside = path.with_suffix(".new")
    try:
        beside.write_text(json.dumps({"versions": rows}, indent=1), "utf-8")
        beside.replace(path)
    except OSError as error:
        raise InputError(
            f"the learned rates cannot be written: {error.strerror}.",
            where=str(path),
            next_step="Check the folder's rights.",
        ) from error
