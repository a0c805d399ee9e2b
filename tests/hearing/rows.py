"""The corpus of whole complaints: what was said, by the table of findings and states.

A file holds one writer, named ``SPLIT_WRITER.yaml``: who is trained on is never scored. ``test`` is
only ever scored: nobody looks into it while the model or the cards are changed.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from diagnose.knowledge.models import NOT_SURE
from tests.real_pack import shop_knowledge

__all__ = ["CORPUS", "SPLITS", "Row", "fingerprint", "read", "rows", "second"]

CORPUS = Path(__file__).with_name("corpus")
SPLITS = ("train", "dev", "test")

# 'no' and 'yes' are states, not truth values.
_PLAIN = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


@dataclass(frozen=True)
class Row:
    """One complaint.

    Attributes
    ----------
    say : the text; empty in a second annotation. said : (finding, state, words) of what is plainly
    said. allowed : (finding, state) that is neither right nor wrong.
    """

    id: str
    say: str
    said: tuple[tuple[str, str, str], ...]
    allowed: tuple[tuple[str, str], ...]

    @property
    def states(self) -> dict[str, str]:
        """Finding -> its state, of what is said."""
        return {finding: state for finding, state, _ in self.said}


def read(path: Path) -> list[Row]:
    """All rows of one file, in its order."""
    return [_row(row) for row in yaml.load(path.read_text("utf-8"), _PLAIN)]


def rows(split: str) -> list[Row]:
    """All rows of a split, writer after writer."""
    return [row for path in _files() if path.stem.startswith(f"{split}_") for row in read(path)]


def second() -> list[Row]:
    """What a second annotator found in some rows of dev and test, without seeing the first."""
    return read(CORPUS / "second.yaml")


def fingerprint() -> str:
    """Short name of what a model is trained on, train and dev; the model says which it was."""
    content = hashlib.sha256()
    for path in _files():
        if path.stem.startswith("test_"):
            continue
        content.update(path.name.encode() + b"\0" + path.read_bytes())
    return content.hexdigest()[:16]


def _files() -> list[Path]:
    """The writers' files; w10 comes behind w9."""
    return sorted(
        CORPUS.glob("*_*.yaml"),
        key=lambda path: (int(re.sub(r"\D", "", path.stem)), path.stem),
    )


def _row(row: dict[str, Any]) -> Row:
    said = ((*_today(finding, state), words) for finding, state, words in row["said"])
    allowed = (_today(finding, state) for finding, state in row["allowed"])
    return Row(
        row["id"],
        row.get("say", ""),
        tuple(entry for entry in said if entry[1] != NOT_SURE),
        tuple(dict.fromkeys(entry for entry in allowed if entry[1] != NOT_SURE)),
    )


def _today(finding: str, state: str) -> tuple[str, str]:
    """A finding that is retired since the row was written, as what stands in its place."""
    gone = shop_knowledge().retired.get(finding)
    return (gone.replaced_by, gone.states[state]) if gone else (finding, state)
