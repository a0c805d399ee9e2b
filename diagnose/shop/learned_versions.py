"""Where what was learned lies: every version that was ever applied, in the shop's folder.

Rules
-----
- A version keeps its number for ever: a job says which one it was judged by.
- A pack has versions of its own; the one in force is the last of them that was not taken back.
  Without one the cards hold.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.atomic import write_whole
from diagnose.errors import InputError, RefusedError
from diagnose.knowledge.loader import DEFAULT_PACK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.knowledge.loader import Knowledge

__all__ = ["apply_version", "in_force", "learned_rates", "learned_strengths", "step_back"]

FILE = "learned.json"


def in_force(home: Path, pack: str) -> tuple[int, dict[str, Any]] | None:
    """(number, version) of what is in force for a pack; None: the cards alone.

    Raises
    ------
    InputError : the file is not as it was written.
    """
    rows = _versions(home)
    # Versions of before there were several packs are the default one's.
    own = [(n, row) for n, row in enumerate(rows, 1) if row.get("pack", DEFAULT_PACK) == pack]
    kept = [number for number, row in own if "back" not in row]
    return (kept[-1], rows[kept[-1] - 1]) if kept else None


def learned_rates(home: Path, knowledge: Knowledge) -> dict[str, float] | None:
    """The rates in force, in 1000 jobs, of causes that still have a card; None: the cards' own."""
    found = in_force(home, knowledge.pack.id)
    if found is None:
        return None
    return {c: float(r) for c, r in found[1]["rates"].items() if c in knowledge.causes}


def learned_strengths(home: Path, knowledge: Knowledge) -> dict[str, dict[str, list[float]]]:
    """The strengths in force, of links that the cards still have, with as many states."""
    found = in_force(home, knowledge.pack.id)
    if found is None:
        return {}
    return {
        cause: {
            finding: row
            for finding, row in links.items()
            if finding in knowledge.causes[cause].links
            and len(row) == len(knowledge.findings[finding].states) - 1
        }
        for cause, links in found[1].get("strengths", {}).items()
        if cause in knowledge.causes
    }


def apply_version(home: Path, version: dict[str, Any]) -> int:
    """Put a version in force; returns its number."""
    rows = [*_versions(home), version]
    _write(home, rows)
    return len(rows)


def step_back(home: Path, pack: str, *, time: str, person: str) -> int:
    """Take the version in force back; returns the number of the one before, 0 for the cards.

    Raises
    ------
    RefusedError : nothing learned is in force.
    """
    found = in_force(home, pack)
    if found is None:
        raise RefusedError("nothing learned is in force.", next_step="The cards' numbers hold.")
    rows = _versions(home)
    rows[found[0] - 1]["back"] = {"time": time, "person": person}
    _write(home, rows)
    before = in_force(home, pack)
    return before[0] if before else 0


def _versions(home: Path) -> list[dict[str, Any]]:
    path = home / FILE
    if not path.exists():
        return []
    try:
        rows = json.loads(path.read_text("utf-8"))["versions"]
        for row in rows:
            if not all(0.0 < float(rate) < 1e6 for rate in row["rates"].values()):
                raise ValueError
            for links in row.get("strengths", {}).values():
                if not all(map(_is_strength, links.values())):
                    raise ValueError
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError(
            "what was learned cannot be read.",
            where=str(path),
            next_step="Move the file away to go by the cards, then learn again.",
        ) from error
    return list(rows)


def _is_strength(row: Sequence[float]) -> bool:
    """Chances of at least state 1..k: inside 0 and 1, never rising."""
    return all(0.0 < float(x) < 1.0 for x in row) and list(row) == sorted(row, reverse=True)


def _write(home: Path, rows: list[dict[str, Any]]) -> None:
    path = home / FILE
    try:
        write_whole(path, json.dumps({"versions": rows}, indent=1))
    except OSError as error:
        raise InputError(
            f"what was learned cannot be written: {error.strerror}.",
            where=str(path),
            next_step="Check the folder's rights.",
        ) from error
