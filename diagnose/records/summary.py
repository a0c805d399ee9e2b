"""One line about a job for lists and search: a pure function of its events.

The store keeps it beside the events, so that a list of many thousand jobs reads no event. It can
be made anew at any time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.job.events import Event
    from diagnose.job.state import JobState

__all__ = ["Summary", "summarise"]

#: longest beginning of the complaint that a list shows [characters]
FIRST_WORDS = 60

#: most text of a job that is searched [characters]
SEARCHED = 2000


@dataclass(frozen=True)
class Summary:
    """A job in a list.

    ``state``, ``since``, ``due``: where it stands in the queue (`diagnose.job.queue`).
    ``opened`` and ``changed`` are the times of the first and the latest event as they were given; a
    clock may be wrong, so a list goes by ``latest``, the number of the store's latest event in this
    job. ``stage``: what was found to be needed at closing, else what was last judged.
    """

    job: str
    state: str = "new"
    opened: str = ""
    changed: str = ""
    person: str = ""
    first_words: str = ""
    stage: str = ""
    since: str = ""
    due: str = ""
    count: int = 0
    latest: int = 0
    erased: bool = False


def summarise(job: str, events: Sequence[Event]) -> dict[str, str]:
    """Columns of the summary that follow from the events, and the text that is searched."""
    # A list reads what was made before: it need not wait for what makes it.
    from diagnose.job.queue import standing
    from diagnose.job.state import fold
    from diagnose.learning.outcome import outcome_of

    state = fold(events)
    words = " ".join(state.complaint.split())
    short = words if len(words) <= FIRST_WORDS else words[: FIRST_WORDS - 1].rstrip() + "…"
    stage = _stage(state)
    people = dict.fromkeys(event.person for event in events if event.person)
    noted = [event.text for event in events if event.kind == "noted"]
    found = [state.closed.words, *state.closed.found] if state.closed else []
    noted_of_it = {**state.shock, **state.facts.known()}.values()
    shock = [value for value in noted_of_it if isinstance(value, str)]
    stand = standing(state)
    outcome = outcome_of(events, state)
    columns = {
        "state": stand.state,
        "since": stand.since,
        "due": stand.due,
        "opened": events[0].time if events else "",
        "changed": events[-1].time if events else "",
        "person": state.person,
        "first_words": short,
        "stage": stage,
        "words": _each_once([job, words, stage, *people, *found, *shock, *noted]),
        "outcome": outcome.to_text() if outcome else "",
    }
    # PostgreSQL keeps this one character in no text.
    return {name: value.replace("\0", " ") for name, value in columns.items()}


def _each_once(texts: Sequence[str]) -> str:
    """The texts' words as they are searched, each once: long notes must not slow every answer."""
    return " ".join(dict.fromkeys(searchable(" ".join(texts)).split()))[:SEARCHED]


def searchable(text: str) -> str:
    """Text as it is searched: case and runs of blanks say nothing."""
    return " ".join(text.replace("\0", " ").casefold().split())


def _stage(state: JobState) -> str:
    if state.closed and state.closed.stage:
        return state.closed.stage
    judged = (state.last_judged or {}).get("stage")
    return str(judged.get("id", "")) if isinstance(judged, dict) else ""
