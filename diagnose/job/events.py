"""What can happen to a job: the only thing that is stored.

Rules
-----
- An event is a fact with its time and person; it is never changed. Taking something back is an
  event too (`Withdrawn`), and physical events can be corrected but not undone.
- Stored type names are short words (``kind``), never class paths. What a job did is said by its
  kind, never by a word inside another one's field; older ways to say it: `old_events`.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from diagnose.job.ending import Ended, Ending
from diagnose.job.facts import Facts
from diagnose.knowledge.models import NOT_SURE

__all__ = [
    "EVENT",
    "NOT_SURE",
    "Acknowledged",
    "Answered",
    "Approved",
    "Arrived",
    "Begun",
    "Booked",
    "CheckReadied",
    "Closed",
    "ClosingBegun",
    "ClosingNoted",
    "Compared",
    "Complained",
    "Described",
    "Event",
    "Filed",
    "FirstHalfChosen",
    "HandedOver",
    "Happened",
    "Judged",
    "LookLeft",
    "Measured",
    "MoreLeft",
    "NoteLeft",
    "Noted",
    "Opened",
    "Promised",
    "Quoted",
    "Read",
    "Readied",
    "Recorded",
    "Referred",
    "Resumed",
    "SecondHalfChosen",
    "SheetChosen",
    "SightLeft",
    "Skipped",
    "Stepped",
    "Stocked",
    "Struck",
    "Understood",
    "WentOn",
    "Withdrawn",
    "WordsLeft",
]

Reporter = Literal["customer", "counter", "bench"]
Channel = Literal["bike_here", "shock_only", "phone", "mail"]
Supply = Literal["have", "order", "unknown"]


class _Event(BaseModel):
    """Time (ISO 8601, from outside) and person (initials) of every event."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    time: str = ""
    person: str = ""


class Opened(_Event):
    """The job begins; what the judgement rests on besides answers."""

    kind: Literal["opened"] = "opened"
    pack: str
    knowledge: str
    at: Literal["counter", "bench"] = "counter"
    channel: Channel = "bike_here"
    priors: str = ""


class Arrived(_Event):
    """What was told by telephone is here now, or came another way than was said."""

    kind: Literal["arrived"] = "arrived"
    channel: Channel


class Described(_Event):
    """Fields of the shock become known (or are corrected)."""

    kind: Literal["described"] = "described"
    shock: dict[str, Any]


class Filed(_Event):
    """Facts of the office become known (or are corrected)."""

    kind: Literal["filed"] = "filed"
    facts: Facts


class Complained(_Event):
    """The customer's words; later words are added to earlier ones."""

    kind: Literal["complained"] = "complained"
    text: str


class Answered(_Event):
    """One reporter names one state of what a symptom or check observes."""

    kind: Literal["answered"] = "answered"
    ask: str
    state: str
    by: Reporter = "customer"


class Measured(_Event):
    """Readings of a measuring check, as typed."""

    kind: Literal["measured"] = "measured"
    ask: str
    readings: dict[str, str]
    by: Reporter = "bench"


class Begun(_Event):
    """First readings of a check that reads twice, hours apart; the second is ripe at ``due``."""

    kind: Literal["begun"] = "begun"
    ask: str
    readings: dict[str, str]
    due: str = ""


class FirstHalfChosen(_Event):
    """Of a check that reads twice, only the first half is read now."""

    kind: Literal["first_half_chosen"] = "first_half_chosen"
    check: str


class SecondHalfChosen(_Event):
    """The second half is read now, before it is ripe."""

    kind: Literal["second_half_chosen"] = "second_half_chosen"
    check: str


class WentOn(_Event):
    """Other checks go on while this one waits for its second half."""

    kind: Literal["went_on"] = "went_on"
    check: str


class Skipped(_Event):
    """A question or a check is left out; it may come back at the bench."""

    kind: Literal["skipped"] = "skipped"
    ask: str


class LookLeft(_Event):
    """Nobody looks at the five places at this desk."""

    kind: Literal["look_left"] = "look_left"


class SightLeft(_Event):
    """Nobody can say at this desk what the shock has."""

    kind: Literal["sight_left"] = "sight_left"


class WordsLeft(_Event):
    """Words that were not understood are left as they are: no main complaint comes near them."""

    kind: Literal["words_left"] = "words_left"


class MoreLeft(_Event):
    """Who was asked what else there is said nothing more."""

    kind: Literal["more_left"] = "more_left"


class NoteLeft(_Event):
    """Nobody writes down what a customer who declined was told."""

    kind: Literal["note_left"] = "note_left"


class Struck(_Event):
    """The customer's words were misheard for this symptom: the shop's correction, not a word."""

    kind: Literal["struck"] = "struck"
    ask: str


class Withdrawn(_Event):
    """The event with this number no longer counts."""

    kind: Literal["withdrawn"] = "withdrawn"
    number: int


class Acknowledged(_Event):
    """Cautions of these hazards were shown whole and acknowledged for one step."""

    kind: Literal["acknowledged"] = "acknowledged"
    hazards: list[str]
    step: str
    supervisor: str = ""


class Read(_Event):
    """These cautions stood whole before this person, who then went on."""

    kind: Literal["read"] = "read"
    cautions: list[str]


class Happened(_Event):
    """Something was done to the shock, or a step proved something of a chamber.

    ``what``: in a word of its pack's device, or `device.ANYTHING`. ``gentle``: it left the pressure
    of every chamber as it was.
    """

    kind: Literal["happened"] = "happened"
    what: str
    step: str = ""
    gentle: bool = False


class CheckReadied(_Event):
    """Before a check that opens: it is noted how it came in, and it can be closed again today."""

    kind: Literal["check_readied"] = "check_readied"
    check: str


class SheetChosen(_Event):
    """The sheet of this stage or small job is gone through from now on."""

    kind: Literal["sheet_chosen"] = "sheet_chosen"
    stage: str


class Stepped(_Event):
    """One step of the sheet of a stage or small job was done; ``number`` counts from 0."""

    kind: Literal["stepped"] = "stepped"
    stage: str
    number: int


class Recorded(_Event):
    """What a step asked to be written down: record -> text, as typed; blank ones are not there.

    ``stage``, ``number``: as of the step.
    """

    kind: Literal["recorded"] = "recorded"
    stage: str
    number: int
    values: dict[str, str]


class Compared(_Event):
    """What a step uncovered was held against what the plan expects inside: is it that?

    ``causes``: whose insides were shown; ``stage``, ``number``: as of the step.
    """

    kind: Literal["compared"] = "compared"
    stage: str
    number: int
    causes: list[str]
    state: Literal["yes", "no", "not_sure"]


class Understood(_Event):
    """The readings of the customer's words were confirmed as shown, less those struck out."""

    kind: Literal["understood"] = "understood"


class HandedOver(_Event):
    """Another person or room goes on with the job."""

    kind: Literal["handed_over"] = "handed_over"
    to: str
    at: Literal["counter", "bench"] = "bench"


class Resumed(_Event):
    """The job was taken up again after a break."""

    kind: Literal["resumed"] = "resumed"


class Booked(_Event):
    """The counter books an inspection instead of asking on."""

    kind: Literal["booked"] = "booked"


class Quoted(_Event):
    """The customer was told what it is and what it costs, and is to answer.

    ``stages``: outcomes, or small jobs in their place. ``price``: what was named; ``up_to``: the
    price not to pass without another call.
    """

    kind: Literal["quoted"] = "quoted"
    stages: list[str]
    price: float | None = None
    up_to: float | None = None
    told: str = ""


class Approved(_Event):
    """What the customer agreed to, or declined; a refusal without stages declines everything.

    ``stages``: outcomes, or small jobs in their place.
    """

    kind: Literal["approved"] = "approved"
    stages: list[str]
    up_to: float | None = None
    declined: bool = False
    told: str = ""


class Stocked(_Event):
    """A line of the kit is here, ordered until ``day`` (ISO 8601, may be open), or unknown."""

    kind: Literal["stocked"] = "stocked"
    item: str
    state: Supply
    day: str = ""


class Promised(_Event):
    """The day (ISO 8601) that the customer was told; empty takes the promise back."""

    kind: Literal["promised"] = "promised"
    day: str


class Readied(_Event):
    """The work is done: it waits for closing and for its owner."""

    kind: Literal["readied"] = "readied"


class Referred(_Event):
    """The shock went, with its referral pack, to somebody else."""

    kind: Literal["referred"] = "referred"
    to: str
    told: str = ""


class Judged(_Event):
    """A judgement was shown; kept as it was said."""

    kind: Literal["judged"] = "judged"
    judgement: dict[str, Any]


class Noted(_Event):
    """Free words about the job."""

    kind: Literal["noted"] = "noted"
    text: str


class ClosingBegun(_Event):
    """The work ends here: what was really found is asked next."""

    kind: Literal["closing_begun"] = "closing_begun"


class ClosingNoted(_Event):
    """One answer to what is asked at the end; it counts once the job is closed."""

    kind: Literal["closing_noted"] = "closing_noted"
    ending: Ending


class Closed(_Event):
    """What was really found, and how the job ended: mended, if ``ended`` says nothing else.

    ``stage``: the outcome; ``job``: the small job that was all of it, if one was. ``test``: the
    check that was repeated, or ``complaint`` for what was complained of; ``cured``:
    whether it passed.
    """

    kind: Literal["closed"] = "closed"
    ended: Ended = ""
    found: list[str] = []
    words: str = ""
    stage: str = ""
    job: str = ""
    minutes: float | None = None
    cured: bool | None = None
    test: str = ""


Event = Annotated[
    Opened
    | Arrived
    | Described
    | Filed
    | Complained
    | Answered
    | Measured
    | Begun
    | FirstHalfChosen
    | SecondHalfChosen
    | WentOn
    | Skipped
    | LookLeft
    | SightLeft
    | WordsLeft
    | MoreLeft
    | NoteLeft
    | Struck
    | Withdrawn
    | Acknowledged
    | Read
    | Happened
    | CheckReadied
    | SheetChosen
    | Stepped
    | Recorded
    | Compared
    | Understood
    | HandedOver
    | Resumed
    | Booked
    | Quoted
    | Approved
    | Stocked
    | Promised
    | Readied
    | Referred
    | Judged
    | Noted
    | ClosingBegun
    | ClosingNoted
    | Closed,
    Field(discriminator="kind"),
]

EVENT: TypeAdapter[Event] = TypeAdapter(Event)
