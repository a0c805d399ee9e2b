"""What in a job is the customer's own, and the same job without it.

Statistics rest on answers, readings, judgements and what was found; none of that is touched. Every
kind of event is named here, so that a new kind cannot be forgotten (a test compares).
"""

from __future__ import annotations

from typing import Any

from diagnose.job.events import ClosingNoted, Described, Event, Filed, Judged, Noted, Recorded
from diagnose.job.facts import OFFICE_FIELDS
from diagnose.knowledge.device import HISTORY

__all__ = ["ERASED_NOTE", "PLAIN_KINDS", "WORDED_FIELDS", "without_customer"]

#: what is written into a job whose customer was forgotten
ERASED_NOTE = "The customer's words and names were erased."

#: fields with free words, by kind of event
WORDED_FIELDS: dict[str, tuple[str, ...]] = {
    "approved": ("told",),
    "closed": ("words",),
    "complained": ("text",),
    "noted": ("text",),
    "quoted": ("told",),
    "referred": ("told",),
}

#: kinds without free words, or with a rule of their own below
PLAIN_KINDS = frozenset(
    {
        "acknowledged",
        "answered",
        "arrived",
        "begun",
        "booked",
        "check_readied",
        "compared",
        "closing_begun",
        "closing_noted",
        "described",
        "filed",
        "first_half_chosen",
        "handed_over",
        "happened",
        "judged",
        "look_left",
        "sight_left",
        "measured",
        "note_left",
        "opened",
        "promised",
        "read",
        "readied",
        "recorded",
        "resumed",
        "second_half_chosen",
        "sheet_chosen",
        "skipped",
        "stepped",
        "stocked",
        "struck",
        "understood",
        "went_on",
        "withdrawn",
        "words_left",
        "more_left",
    }
)

#: fields of a shock and facts of the office that no diagnosis rests on: words, names, marks
_PERSONAL = frozenset(
    {
        "accessories",
        "bike",
        "customer",
        "email",
        HISTORY,
        "marks",
        "name",
        "phone",
        "serial",
        "tag",
    }
)

#: keys of a judgement that quote the customer
_QUOTING = frozenset({"complaint", "words"})


def without_customer(event: Event) -> Event:
    """The event with the customer's words and names blanked; doing it twice changes nothing."""
    if isinstance(event, Described):
        kept = {name: value for name, value in event.shock.items() if name not in _PERSONAL}
        return event.model_copy(update={"shock": kept})
    if isinstance(event, Filed):
        blank_facts = dict.fromkeys(_PERSONAL & OFFICE_FIELDS)
        return event.model_copy(update={"facts": event.facts.model_copy(update=blank_facts)})
    if isinstance(event, ClosingNoted) and event.ending.words:
        return event.model_copy(update={"ending": event.ending.model_copy(update={"words": ""})})
    if isinstance(event, Recorded):
        # Free words of the bench; whoever it was for is named in some.
        return event.model_copy(update={"values": dict.fromkeys(event.values, "")})
    if isinstance(event, Judged):
        return event.model_copy(update={"judgement": _unquoted(event.judgement)})
    if isinstance(event, Noted) and event.text == ERASED_NOTE:
        return event
    blank = dict.fromkeys(WORDED_FIELDS.get(event.kind, ()), "")
    return event.model_copy(update=blank) if blank else event


def _unquoted(part: Any) -> Any:
    if isinstance(part, dict):
        return {key: "" if key in _QUOTING else _unquoted(value) for key, value in part.items()}
    if isinstance(part, list):
        return [_unquoted(item) for item in part]
    return part
