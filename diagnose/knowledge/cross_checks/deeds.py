"""What the words of a step tell against what its card says is done.

Cautions, the gate and the proof follow from ``does``: what a step only tells in words has none. The
words stand in the pack (``told_by``), because they are of one device and of its trade. A sentence
that denies something does not tell that it is done.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from typing import Any

from diagnose.errors import Problem
from diagnose.knowledge.loader import Knowledge, Lines

__all__ = ["told_is_done"]

_SENTENCE = re.compile(r"[.;:?]\s+")
_DENIED = re.compile(r"\b(not|no|never|nothing|nobody|without)\b", re.IGNORECASE)


def told_is_done(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Checks and steps of sheets do what their words tell."""
    told_by = knowledge.pack.told_by
    for ident, check in knowledge.checks.items():
        for number, text in enumerate(check.steps):
            for act, words in _untold(told_by, text, check.does):
                what = f"does: the step says '{words}', and '{act}' is not among what is done."
                hint = f"Add '{act}' to 'does' in its order, or say it in other words."
                yield lines.problem("checks", ident, ("steps", number), what, hint)
    for ident, sheet in knowledge.sheets.items():
        done: set[str] = set()
        for number, step in enumerate(sheet.steps):
            done |= {*step.does, *step.marks}
            for act, words in _untold(told_by, step.do, done):
                what = f"does: the step says '{words}', and '{act}' is not done up to here."
                hint = f"Add '{act}' to 'does' or 'marks', or say it in other words."
                where = ("steps", number, "do")
                yield lines.problem(knowledge.sheet_kind(ident), ident, where, what, hint)


def _untold(
    told_by: Mapping[Any, list[str]], text: str, done: Collection[str]
) -> Iterator[tuple[str, str]]:
    """Acts, each with the words that tell it, that a text tells beside what is done."""
    sentences = [s.lower() for s in _SENTENCE.split(text) if not _DENIED.search(s)]
    for act in [act for act in told_by if act not in done]:
        for words in told_by[act]:
            if any(re.search(rf"\b{re.escape(words.lower())}\b", s) for s in sentences):
                yield act, words
                break
