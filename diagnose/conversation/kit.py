"""Where the kit of a plan is, and the day on which the shock is promised."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from diagnose.errors import InputError
from diagnose.job.events import Event, Promised, Stocked, Supply
from diagnose.job.state import JobState
from diagnose.reasoning.judgement import judge
from diagnose.reasoning.reasoner import Reasoner

__all__ = ["day_of", "item_named", "kit_of", "promised", "stocked"]


def kit_of(reasoner: Reasoner, job: JobState) -> list[str]:
    """Lines of the kit: of the plan as it is judged now, and what was noted before."""
    judgement = judge(reasoner, reasoner.view(job))
    planned = [item for line in (judgement.stage, *judgement.also_stages) for item in line.kit]
    return list(dict.fromkeys([*planned, *job.kit]))


def stocked(
    kit: Sequence[str], stamp: Mapping[str, Any], given: Mapping[Supply, Sequence[str]]
) -> list[Event]:
    """Lines of the kit are here, ordered or unknown.

    Parameters
    ----------
    given : state -> lines as typed; of what is ordered ``LINE=DAY``, where the day is known.

    Raises
    ------
    InputError : no such line, more than one, or no day.
    """
    new: list[Event] = []
    for state, texts in given.items():
        for text in texts:
            name, _, day = text.partition("=") if state == "order" else (text, "", "")
            day = day_of(day, stamp["time"], "order") if day else ""
            for item in item_named(name, kit):
                new.append(Stocked(item=item, state=state, day=day, **stamp))
    return new


def promised(day: str, stamp: Mapping[str, Any]) -> list[Event]:
    """The day that the customer was told, as typed; ``none`` takes the promise back.

    Raises
    ------
    InputError : no day, or one that is past.
    """
    return [Promised(day="" if day == "none" else day_of(day, stamp["time"], "DAY"), **stamp)]


def item_named(text: str, kit: Sequence[str]) -> list[str]:
    """The line of the kit that a number, its text or a part of it names; ``all`` names all.

    Raises
    ------
    InputError : none of them, or more than one.

    >>> item_named("2", ["seal kit", "oil"]), item_named("seal", ["seal kit", "oil"])
    (['oil'], ['seal kit'])
    """
    word = text.strip().lower()
    if word == "all":
        return list(kit)
    if word.isdigit() and 1 <= int(word) <= len(kit):
        return [kit[int(word) - 1]]
    exact = [item for item in kit if item.lower() == word]
    found = exact or [item for item in kit if word and word in item.lower()]
    if len(found) == 1:
        return found
    lines = "; ".join(f"{n} {item}" for n, item in enumerate(kit, 1))
    what = "names more than one line" if found else "is no line"
    raise InputError(
        f"'{text[:40]}' {what} of the kit.",
        where="kit",
        next_step=f"Name one by its number: {lines}." if kit else "This plan needs no kit.",
    )


def day_of(text: str, today: str, where: str) -> str:
    """A day as typed (2031-04-12, today, tomorrow, +3) as ISO 8601.

    Raises
    ------
    InputError : no day, or one that is past.

    >>> day_of("+3", "2031-04-12T09:00:00", "DAY"), day_of("tomorrow", "2031-04-30", "DAY")
    ('2031-04-15', '2031-05-01')
    """
    word, now = text.strip().lower(), date.fromisoformat(today[:10])
    ahead = {"today": "0", "tomorrow": "1"}.get(word, word.removeprefix("+"))
    try:
        if ahead.isdigit() and len(ahead) <= 3:
            day = now + timedelta(days=int(ahead))
        else:
            day = date.fromisoformat(word)
    except ValueError:
        raise InputError(
            f"'{text[:20]}' is no day.",
            where=where,
            next_step="Say it as 2031-04-12, today, tomorrow, or +3 for three days from now.",
        ) from None
    if day < now:
        raise InputError(
            f"{day.isoformat()} is past.", where=where, next_step="Name a day from today on."
        )
    return day.isoformat()
