"""The half of the sayings that certainty may be fitted on, and the half kept apart from that.

Of each kind the first is kept apart, the second is for the fit, and so on: every kind is judged.
Write a new one behind the others of its kind, so that none changes its half.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

import yaml

__all__ = ["all_chatter", "all_sayings", "halves"]

Row = TypeVar("Row")
HERE = Path(__file__).parent


def halves(rows: Sequence[Row], kind: Callable[[Row], str]) -> tuple[list[Row], list[Row]]:
    """Rows kept apart, and rows for the fit."""
    apart: list[Row] = []
    fitted: list[Row] = []
    met: Counter[str] = Counter()
    for row in rows:
        (fitted if met[kind(row)] % 2 else apart).append(row)
        met[kind(row)] += 1
    return apart, fitted


def all_sayings() -> tuple[list[dict[str, str]], list[dict[str, str]]]:
    """Sayings with their symptom and state: kept apart, for the fit."""
    text = (HERE / "sayings.yaml").read_text("utf-8")
    return halves(yaml.load(text, yaml.BaseLoader), lambda row: row["symptom"])


def all_chatter() -> tuple[list[str], list[str]]:
    """Talk beside the complaint: kept apart, for the fit."""
    return halves(yaml.safe_load((HERE / "chatter.yaml").read_text("utf-8")), lambda _: "")
