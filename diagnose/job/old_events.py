"""Events as earlier versions stored them, read as today's.

Rules
-----
- Every reader of stored events reads them through here; what is written is always of today.
- One stored event is read as one event: `Withdrawn` points at others by their number.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, TypeAdapter

from diagnose.job.events import Event

__all__ = ["StoredEvent", "read_event"]

#: what 'skipped' said by a whole word, before it had a kind of its own
_WORDS = {
    "found": "closing_begun",
    "told": "note_left",
    "five_places": "look_left",
    "main_complaint": "words_left",
}

#: what 'skipped' said by the beginning of a word: the kind, and the field that holds the rest
_BEGINNINGS = {
    "sheet": ("sheet_chosen", "stage"),
    "ready": ("check_readied", "check"),
    "first": ("first_half_chosen", "check"),
    "second": ("second_half_chosen", "check"),
}

#: what happened and left all pressure as it was, before the event said so itself
_GENTLE = ("cycled", "off_bike")


def _as_of_today(stored: Any) -> Any:
    """A stored event in today's words.

    >>> _as_of_today({"kind": "skipped", "ask": "sheet:air_can_service", "person": "AB"})
    {'person': 'AB', 'kind': 'sheet_chosen', 'stage': 'air_can_service'}
    >>> _as_of_today({"kind": "skipped", "ask": "said_air_loss"})
    {'kind': 'skipped', 'ask': 'said_air_loss'}
    """
    if not isinstance(stored, dict):
        return stored
    if stored.get("kind") == "happened" and stored.get("what") in _GENTLE:
        return {"gentle": True, **stored}
    if stored.get("kind") != "skipped":
        return stored
    ask = str(stored.get("ask"))
    rest = {name: value for name, value in stored.items() if name not in ("kind", "ask")}
    if ask in _WORDS:
        return {**rest, "kind": _WORDS[ask]}
    beginning, _, ident = ask.partition(":")
    if ident and beginning in _BEGINNINGS:
        kind, field = _BEGINNINGS[beginning]
        return {**rest, "kind": kind, field: ident}
    return stored


#: the type of an event that was stored by this version or an earlier one
StoredEvent = Annotated[Event, BeforeValidator(_as_of_today)]

_STORED: TypeAdapter[Event] = TypeAdapter(StoredEvent)


def read_event(body: str) -> Event:
    """The event of a stored body of JSON.

    Raises
    ------
    pydantic.ValidationError : no event of this version or an earlier one.
    """
    return _STORED.validate_json(body)
