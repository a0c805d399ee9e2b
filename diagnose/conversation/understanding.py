"""The customer's words put to the customer: what may be meant, what was meant, what was not.

Rules
-----
- A reading in doubt is a question under a key of its own; all of them are asked at once, and what
  is not chosen was not meant.
- Where nothing was understood, the commonest complaints stand there in the trade's words.
- To correct is to strike a reading out, to bring it back, to say its state, or to add a symptom: by
  one event each, so that what was struck out is kept with the job.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.conversation.guarding import Desk
from diagnose.conversation.prompts import MAIN, MORE, NONE, UNDERSTOOD, Prompt, keyed
from diagnose.errors import InputError
from diagnose.job.events import (
    NOT_SURE,
    Answered,
    Complained,
    Event,
    MoreLeft,
    Struck,
    Understood,
    Withdrawn,
    WordsLeft,
)
from diagnose.job.state import fold
from diagnose.nearest import nearest
from diagnose.reasoning.hearing import heard_lines
from diagnose.reasoning.judgement import HeardLine
from diagnose.reasoning.reasoner import View

__all__ = [
    "MEANT",
    "STRUCK",
    "chosen_readings",
    "corrected",
    "main",
    "more",
    "said_so",
    "told_more",
    "understood",
]

#: wishes of a correction besides a state: it was not said, or it was
STRUCK, MEANT = "struck", "meant"

#: readings that are put to the customer at once, one key left for none of them
_ASKED = 8

#: main complaints that are offered: as many as have a key of one digit
_MOST = 9

#: what a reply without words to the open question says
NO_MORE = "Nothing else"


def main(desk: Desk) -> Prompt:
    """The commonest complaints by key, where no word was understood."""
    lines = desk.reasoner.knowledge.pack.main_complaints[:_MOST]
    return Prompt(
        "question",
        MAIN,
        "The words were not understood. Which comes nearest to the main complaint?",
        answers=tuple(keyed([(f"{row.symptom}={row.state}", row.text) for row in lines])),
        commands=("not_sure", "back", "safety", "words", "leave"),
    )


def understood(view: View) -> Prompt:
    """Which of the readings in doubt were meant; the last key: none of them. Enter says so too, but
    where danger may be meant nothing is denied by habit.
    """
    asked, knowledge = view.in_doubt[:_ASKED], view.belief.prepared.knowledge
    grave = {floor.finding for floor in knowledge.floors}
    danger = any(knowledge.symptoms[line.id].observes in grave for line in asked)
    rows = [(f"{line.id}={line.state}", f"{line.text}? ('{line.words}')") for line in asked]
    also = " also" if view.belief.items else ""
    return Prompt(
        "question",
        UNDERSTOOD,
        f"The words may{also} mean this. What was meant?",
        answers=tuple(keyed([*rows, (NONE, "None of these")])),
        why="The words are not certain enough to count, and it would change the call.",
        commands=("back", "why", "safety", "book", "words", "leave"),
        default="" if danger else NONE,
        several=True,
    )


def more(desk: Desk) -> Prompt:
    """The open question: what people know and would say freely comes out by no other."""
    return Prompt(
        "text",
        MORE,
        "Anything else it does, or that was done to it lately?",
        why="What the customer tells unasked spares the questions for it.",
        commands=("not_sure", "back", "why", "safety", "book", "words", "leave"),
        minutes=0.4,
        default=NO_MORE,
    )


def told_more(desk: Desk, text: str, stamp: dict[str, Any]) -> list[Event]:
    """Events of a reply to the open question: more words, or that there are none."""
    bare = text.strip().strip(".!").casefold()
    silent = {NO_MORE.casefold(), "", *map(str.casefold, desk.reasoner.knowledge.lexicon.no_more)}
    return [MoreLeft(**stamp) if bare in silent else Complained(text=text.strip(), **stamp)]


def said_so(
    desk: Desk, events: Sequence[Event], ident: str, state: str, stamp: dict[str, Any]
) -> list[Event]:
    """Events of an answer to one of these prompts."""
    if state == NOT_SURE:
        return [WordsLeft(**stamp)]
    if ident == UNDERSTOOD and state == NONE:
        return chosen_readings(desk, events, [], stamp)
    symptom, _, word = state.partition("=")
    answer = Answered(ask=symptom, state=word, by="customer", **stamp)
    # Which complaint it is settles the words.
    return [answer, Understood(**stamp)] if ident == MAIN else [answer]


def chosen_readings(
    desk: Desk, events: Sequence[Event], states: Sequence[str], stamp: dict[str, Any]
) -> list[Event]:
    """Events of all readings in doubt at once: those chosen were meant, the others not."""
    meant = dict(state.split("=") for state in states if state != NONE)
    asked = desk.reasoner.view(fold(events)).in_doubt[:_ASKED]
    rest = [line.id for line in asked if line.id not in meant]
    return [
        *(Answered(ask=ask, state=state, by="customer", **stamp) for ask, state in meant.items()),
        *(Struck(ask=ask, **stamp) for ask in rest),
        Understood(**stamp),
    ]


def corrected(
    desk: Desk, events: Sequence[Event], wishes: Mapping[str, str], stamp: dict[str, Any]
) -> list[Event]:
    """Events of corrections.

    Parameters
    ----------
    wishes : symptom id -> `STRUCK`, `MEANT` or one of its states.

    Raises
    ------
    InputError : no such symptom or state, or nothing that was heard; nothing is changed then.
    """
    lines = {line.id: line for line in heard_lines(desk.reasoner.view(fold(events)).belief)}
    new: list[Event] = []
    for ask, wish in wishes.items():
        new += _correction(desk, events, lines, ask, wish, stamp)
    return new


def _correction(
    desk: Desk,
    events: Sequence[Event],
    lines: Mapping[str, HeardLine],
    ask: str,
    wish: str,
    stamp: dict[str, Any],
) -> list[Event]:
    card = desk.reasoner.knowledge.symptoms.get(ask)
    if card is None:
        known = desk.reasoner.knowledge.symptoms
        raise InputError(f"there is no symptom '{ask}'.", next_step=nearest(ask, known))
    states = desk.reasoner.knowledge.findings[card.observes].states
    if wish in states:
        return [Answered(ask=ask, state=wish, by="customer", **stamp)]
    if wish not in (STRUCK, MEANT):
        raise InputError(
            f"'{wish}' is no state of {ask}.",
            where=ask,
            next_step=f"Use {STRUCK}, {MEANT}, {', '.join(states)}.",
        )
    line = lines.get(ask)
    if line is None:
        raise InputError(
            f"nothing of the words was heard as {ask}.", where=ask, next_step="Name its state."
        )
    if wish == STRUCK:
        # An answer to the same is taken back with it: the customer did not say that.
        taken_back = _standing(events, Answered, ask) if line.standing == "answered" else []
        struck = [] if line.standing == "struck" else [Struck(ask=ask, **stamp)]
        return [*(Withdrawn(number=n, **stamp) for n in taken_back), *struck]
    back: list[Event] = [
        Withdrawn(number=number, **stamp) for number in _standing(events, Struck, ask)
    ]
    counts = desk.reasoner.knowledge.pack.hearing.counts
    plain = line.probability >= counts and line.standing != "unsure"
    if plain or line.standing == "answered":
        return back
    return [*back, Answered(ask=ask, state=line.state, by="customer", **stamp)]


def _standing(events: Sequence[Event], kind: type[Answered] | type[Struck], ask: str) -> list[int]:
    """Numbers of the customer's answers, or of strikes, that count for a symptom."""
    gone = {event.number for event in events if isinstance(event, Withdrawn)}
    return [
        number
        for number, event in enumerate(events)
        if isinstance(event, kind)
        and event.ask == ask
        and number not in gone
        and getattr(event, "by", "customer") == "customer"
    ]
