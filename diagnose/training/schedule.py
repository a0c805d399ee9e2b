"""What to practise next: one memory for each skill, not for each case.

Rules
-----
- A skill is a system with a strategy; cases that train the same skill share its memory.
- When it comes back is the scheduler's affair (the package fsrs, which implements Ye, Su & Cao
  2022, *A stochastic shortest path algorithm for optimizing spaced repetition scheduling*, KDD).
- A safety lapse comes back the next day, whatever the scheduler says.
- No skill twice in a row, unless it was unsafe: who is weak in one meets the others all the same.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from diagnose.training.scenario import Scenario

if TYPE_CHECKING:
    from fsrs import Rating

__all__ = ["due_of", "next_scenario", "next_skill", "reviewed"]

#: lowest score for each rating above 'again' (a trainer's judgement, from memory)
_HARD, _GOOD, _EASY = 50.0, 75.0, 95.0


def _rating(score: float, lapse: bool) -> Rating:
    from fsrs import Rating

    if lapse or score < _HARD:
        return Rating.Again
    if score < _GOOD:
        return Rating.Hard
    return Rating.Good if score < _EASY else Rating.Easy


def reviewed(
    card: Mapping[str, Any] | None, skill: str, score: float, lapse: bool, now: datetime
) -> dict[str, Any]:
    """The memory of a skill after a session, ready to be stored.

    Parameters
    ----------
    card : as stored, None: never practised. now : with its offset.
    """
    from fsrs import Card, Scheduler

    # Whole days: a case is not repeated within minutes as a word of a language is.
    scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
    old = Card.from_dict(dict(card)) if card else Card(card_id=zlib.crc32(skill.encode()))  # type: ignore[arg-type]
    moment = now.astimezone(_utc())
    new, _ = scheduler.review_card(old, _rating(score, lapse), moment)
    if lapse:
        new.due = moment + timedelta(days=1)
    return dict(new.to_dict())


def _utc() -> Any:
    from datetime import UTC

    return UTC


def due_of(card: Mapping[str, Any]) -> datetime:
    """When a skill is to be practised again."""
    return datetime.fromisoformat(str(card["due"]))


def next_skill(
    cards: Mapping[str, Mapping[str, Any]], skills: Iterable[str], now: datetime, resting: str = ""
) -> str:
    """The skill to practise: the longest overdue, else a new one, else the soonest due.

    Parameters
    ----------
    skills : that there are cases for, the most frequent first. resting : one that is left out if
    there is another.
    """
    every = list(dict.fromkeys(skills))
    known = [skill for skill in every if skill != resting] or every
    due = sorted((due_of(card), skill) for skill, card in cards.items() if skill in set(known))
    if due and due[0][0] <= now:
        return due[0][1]
    fresh = [skill for skill in known if skill not in cards]
    return fresh[0] if fresh else due[0][1]


def next_scenario(
    cards: Mapping[str, Mapping[str, Any]],
    played: Sequence[str],
    scenarios: Sequence[Scenario],
    now: datetime,
    resting: str = "",
) -> Scenario:
    """The case to practise: of the next skill, the one whose last time is longest ago.

    Parameters
    ----------
    played : ids of cases, the latest last. scenarios : at least one. resting : see `next_skill`.
    """
    counts: dict[str, int] = {}
    for scenario in scenarios:
        counts[scenario.skill] = counts.get(scenario.skill, 0) + 1
    often = sorted(counts, key=lambda skill: (-counts[skill], skill))
    skill = next_skill(cards, often, now, resting)
    last = {ident: place for place, ident in enumerate(played)}
    return min((s for s in scenarios if s.skill == skill), key=lambda s: (last.get(s.id, -1), s.id))
