"""Answers that do not fit one another, in words, and the cheaper of them to check again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.knowledge.loader import Knowledge

__all__ = ["Doubt", "doubt_of"]


@dataclass(frozen=True)
class Doubt:
    """A sentence about answers that do not fit, and the id of the cheapest to check again."""

    words: str = ""
    again: str = ""


def doubt_of(knowledge: Knowledge, suspects: Sequence[str], at: str) -> Doubt:
    """What to say of the misfits of a job; empty where there are none.

    Parameters
    ----------
    suspects : ids of symptoms and checks. at : where the job is; at the bench nobody can be asked,
    so a check comes before the customer's words.
    """
    cards = [
        card
        for ident in suspects
        if (card := knowledge.checks.get(ident) or knowledge.symptoms.get(ident)) is not None
    ]
    if not cards:
        return Doubt()
    names = " and ".join(f"'{card.name}'" for card in cards)
    begin = f"{names} do not fit one another." if len(cards) > 1 else f"{names} does not fit."
    able = [card for card in cards if at != "bench" or card.id in knowledge.checks] or cards
    cheap = min(able, key=lambda card: card.minutes)
    verb = "check" if cheap.id in knowledge.checks else "ask"
    minutes = f", about {cheap.minutes:.0f} min" if cheap.minutes >= 1.0 else ""
    return Doubt(f"{begin} Cheapest to {verb} again: '{cheap.name}'{minutes}.", cheap.id)
