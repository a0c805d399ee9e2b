"""Hints, each more explicit than the one before, each at the price of the trainer's minutes."""

from __future__ import annotations

from diagnose.belief.compiled import UNLISTED
from diagnose.knowledge.models import Check
from diagnose.training.moment import LOOK, Moment

__all__ = ["MINUTES", "hint"]

#: minutes of a trainer for each hint at one moment
MINUTES = (2.0, 5.0, 12.0)


def hint(moment: Moment, level: int) -> tuple[str, float]:
    """Words and price [currency] of a hint.

    Parameters
    ----------
    level : hints given at this moment so far; beyond the last one it is said again, for nothing.
    """
    price = MINUTES[level] * moment.coach.money.rate_per_minute if level < len(MINUTES) else 0.0
    if level == 0:
        return _direction(moment), price
    if level == 1:
        return _suspects(moment), price
    return _name(moment), price


def _best(moment: Moment) -> str | None:
    return LOOK if not moment.looked else moment.best_id


def _direction(moment: Moment) -> str:
    best = _best(moment)
    if best is None:
        return "Nothing left to ask is worth its minutes. What can you say with what you have?"
    if best == LOOK:
        return "You have not looked yet. Eyes first."
    card = moment.coach.card(best)
    if not isinstance(card, Check):
        return "The customer knows more than you asked for."
    place = "at the counter" if card.at == "counter" else "at the bench"
    how = "with an instrument" if card.reading is not None else "with eyes and hands"
    return f"The next thing is found {place}, {how}."


def _suspects(moment: Moment) -> str:
    if _best(moment) == LOOK:
        return "Nobody can say whether it may be ridden before every place was looked at."
    causes = moment.coach.knowledge.causes
    names = [causes[c].name for c in moment.view.belief.causes if c != UNLISTED][:2]
    if _best(moment) is None:
        return f"Most speaks for: {names[0]}. Is anything else worth a check?"
    return f"What would be different between these two: {names[0]}; {names[1]}?"


def _name(moment: Moment) -> str:
    best = _best(moment)
    if best is None:
        return "Make the call now."
    if best == LOOK:
        return "Look over all five places."
    return f"Do this: {moment.coach.card(best).name}."
