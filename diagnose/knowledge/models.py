"""The shape of every knowledge card.

Rules
-----
- Everything that may stand in a file under ``knowledge/`` is a field here; nothing else may stand
  there (unknown fields are problems, not ignored).
- A card says what its author believes. Derived numbers (scaled priors, full tables) are compiled
  elsewhere and never written back.
- A chance is a word of the pack's verbal scale, a number strictly between 0 and 1, or either of
  them with a source of its own. Without one, the card's ``source`` is the number's source.
- The first state of a finding is the healthy one; the others rise in severity.
"""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Literal

from pydantic import AliasChoices, Field

from diagnose.knowledge.card import Card, Id, Text

__all__ = [
    "NONE",
    "NOTHING",
    "NOT_SURE",
    "Answer",
    "Block",
    "BlockRow",
    "Cause",
    "Caution",
    "Chance",
    "Check",
    "Consequence",
    "Context",
    "EachDesk",
    "Economics",
    "Example",
    "Finding",
    "Floor",
    "Frame",
    "FrameRow",
    "Further",
    "Hazard",
    "Hearing",
    "Lexicon",
    "LookAlike",
    "OverMaximum",
    "Pace",
    "Pack",
    "Place",
    "PlacedRates",
    "ReadingModel",
    "Reliability",
    "Remedy",
    "Reporters",
    "Retired",
    "Right",
    "SecondOpinion",
    "Sheet",
    "Sight",
    "SmallJob",
    "Source",
    "Sourced",
    "SourcedRate",
    "Spread",
    "Stage",
    "StageFile",
    "Step",
    "Symptom",
    "Tier",
    "Verdict",
    "rate_at",
    "reports_of",
]

#: where a job came from
Place = Literal["counter", "bench"]

RideWord = Literal["ride", "ride_gently", "stop_riding"]

#: the state that says nothing
NOT_SURE = "not_sure"

#: what a remedy opens that opens no chamber
NOTHING = "nothing"

#: the answer that none of several is so
NONE = "none"

#: so many in a thousand jobs; what is commoner than every second job is no fault but the trade
Rate = Annotated[float, Field(gt=0, le=500)]


class Sourced(Card):
    """A chance with a source of its own."""

    value: float | str
    source: Id
    note: str = ""


class SourcedRate(Card):
    """A rate with a source of its own."""

    value: Rate
    source: Id
    note: str = ""


class PlacedRates(Card):
    """A rate for each place that a job may come from, where counter and bench see another share."""

    counter: Rate | SourcedRate
    bench: Rate | SourcedRate


def rate_at(value: float | SourcedRate | PlacedRates, at: Place) -> float:
    """The rate of jobs that come from there."""
    if isinstance(value, PlacedRates):
        value = value.bench if at == "bench" else value.counter
    return float(value.value if isinstance(value, SourcedRate) else value)


Chance = float | str | Sourced


class Source(Card):
    """Where numbers come from.

    ``kind``: published (named work), common_practice (no source), from_memory, counted (n of m
    closed jobs).
    """

    id: Id
    kind: Literal["published", "common_practice", "from_memory", "counted"]
    text: Text
    date: str
    n: int | None = None
    m: int | None = None


class Right(Card):
    """What a shop may let somebody do."""

    id: Id
    name: Text


class Verdict(Card):
    """May the customer ride it as it is, and why."""

    verdict: RideWord = Field(validation_alias=AliasChoices("verdict", "ride"))
    why: Text


class Pace(Card):
    """Distribution of a rate in one state: log-normal; two of three lie within ``factor`` of the
    ``median`` [share lost in an hour], up and down."""

    median: float = Field(gt=0)
    factor: float = Field(gt=1)


class Finding(Card):
    """One true state of the world; the only node that causes link to.

    ``leak``: for each state but the first, the chance of at least that state with no known cause
    present. ``applies_when``: shock features that must hold for the finding to exist at all.
    ``seen_with``: findings of which one must be there, from this state on, for this to be seen, as
    oil before its kind: it is asked for and looked at once one of them was reported, and no cause
    shows it more often than any of them.
    ``rates``: of a finding that is a pace, what share is lost in an hour in each state; every check
    that reads it against the clock judges by them.
    """

    id: Id
    name: Text
    plain: Text
    states: list[Id] = Field(min_length=2, max_length=5)
    leak: dict[Id, Chance]
    rates: dict[Id, Pace] = {}
    group: Id
    applies_when: dict[Id, bool] = {}
    seen_with: dict[Id, Id] = {}
    source: Id
    about: str = ""


class Remedy(Card):
    """What putting one cause right takes, by itself, without opening and closing.

    ``minutes``: hands-on work [min]. ``parts``: cost of parts [shop currency]. ``opens``: the
    deepest chamber that must be opened for it. ``job``: the small job that is all it takes.
    """

    minutes: float = Field(gt=0, le=240)
    parts: float = Field(ge=0)
    kit: list[Text] = []
    opens: Id = NOTHING
    job: Id | None = None
    say: str = ""


class LookAlike(Card):
    """What a cause is mistaken for and the check that settles it."""

    cause: Id
    settled_by: Id
    how: Text


class Example(Card):
    """A small picture beside a cause card.

    ``rank``: the cause must be in the first ``rank`` (typical), or must not be first (near miss).
    ``answers``: symptom or check id -> state. ``stage``, ``ride``: the outcomes and the verdicts
    that a bench accepts of this picture, the best first. ``missed``: why it does not hold today;
    taken away again once it does.
    """

    complaint: str = ""
    shock: dict[str, object] = {}
    answers: dict[Id, str] = {}
    rank: int = Field(default=1, ge=1, le=5)
    stage: list[Id] = []
    ride: list[RideWord] = []
    because: str = ""
    missed: str = ""


class Cause(Card):
    """One thing that can be wrong.

    ``per_1000``: jobs in a thousand in which it is present. ``context``: relative rate for each
    band of a context; scaled so that the mean over the bands' shares is 1. ``links``: finding ->
    chance of the finding from this cause alone; for a graded finding a mapping state -> chance of
    at least that state. ``hazards``: what meets whoever rides, carries or posts it.
    ``cures``: stage -> chance that the stage puts it right. ``inside``: what is seen once what its
    remedy opens is open. ``points_to``: parts of the drawing at which it sits, the place first.
    """

    id: Id
    name: Text
    plain: Text
    system: Id
    points_to: list[Id] = []
    per_1000: Rate | SourcedRate | PlacedRates
    context: dict[Id, dict[Id, Annotated[float, Field(gt=0, le=20)]]] = {}
    needs: dict[Id, bool] = {}
    links: dict[
        Id, float | str | Annotated[Sourced | dict[Id, Chance], Field(union_mode="left_to_right")]
    ]
    cures: dict[Id, Chance]
    remedy: Remedy
    inside: str = ""
    ride: Verdict
    hazards: list[Id] = []
    about: Text
    mistaken_for: list[LookAlike] = []
    typical: list[Example] = []
    near_miss: list[Example] = []
    source: Id


class Reliability(Card):
    """How far one reporter is to be believed.

    ``hit``: chance of reporting something when it is there; ``false_alarm``: chance of reporting
    it when it is not; ``grade``: chance of naming the right severity when something is reported.
    """

    hit: Chance
    false_alarm: Chance
    grade: Chance = "usually"


class Answer(Card):
    """One answer to choose: the state it reports, its words, what it means to the reader.

    ``says``: what it reports besides, where one look or reading tells of several findings: finding
    -> state. Where ``state`` is a word of the check's own, what it means of the finding that the
    check observes stands there as well.
    """

    state: Id
    text: Text
    means: str = ""
    says: dict[Id, Id] = {}


class Symptom(Card):
    """What a customer says, volunteered or asked; its reporter is the customer.

    ``phrases``: state -> sayings, the healthy state included (a denial in so many words).
    ``ask``: false where riders cannot be expected to know, so that it is only ever heard.
    ``brought_up``: the chance that who comes in with it says so unasked; only for what nobody
    leaves out, such as the service that he came for. ``known``: the chance that a customer who is
    asked can tell; ``named``: that he tells it who is asked what else there is, or what was done;
    left out, those of the pack's reporters.
    """

    id: Id
    observes: Id
    name: Text
    question: Text
    answers: list[Answer] = Field(min_length=2)
    phrases: dict[Id, list[Text]]
    customer: Reliability
    ask: bool = True
    known: Chance | None = None
    brought_up: Chance | None = None
    named: Chance | None = None
    minutes: float = Field(default=0.4, gt=0, le=10)
    why: str = ""
    needs_bike: bool = False
    applies_when: dict[Id, bool] = {}
    source: Id

    @property
    def findings(self) -> tuple[str, ...]:
        """What its answers report on."""
        return (self.observes,)


class FrameRow(Card):
    """One answer of a frame question: symptom or check that it reports, its state, its words."""

    ask: Id
    state: Id
    text: Text


class Frame(Card):
    """Symptoms asked in one question (when it shows, who worked on it), or looks of one pair of
    hands (what is seen and heard as it is pressed).

    ``rows``: answers that may all be true; what is not named is not so. ``none``: the answer that
    none of them is so. ``known``: as of a symptom.
    """

    id: Id
    name: Text
    question: Text
    rows: list[FrameRow] = Field(min_length=2, max_length=8)
    none: Text
    known: Chance | None = None
    minutes: float = Field(default=0.5, gt=0, le=10)
    why: str = ""
    source: Id


class Spread(Card):
    """Distribution of a bench quantity in one state of the finding: normal, in the unit named."""

    mean: float
    sd: float = Field(gt=0)


class Further(Card):
    """A further value of a formula: which, and its distribution in each state of a finding."""

    value: Id
    states: dict[Id, Spread]


class Consequence(Card):
    """A value that speaks of another finding than the check observes; left out: the first one."""

    finding: Id
    value: Id | None = None
    states: dict[Id, Spread]


class ReadingModel(Card):
    """Which bench formula a measuring check computes and how it tells the states apart.

    ``states``: the first value's distribution in each state. Of a formula against the clock the
    state is a rate instead: ``rates``, those of the finding unless the check says its own.
    ``shows``: the mildest state that such a check is to show; the wait between its two readings
    follows. ``instead``: the value that decides where the formula has it, in place of the first.
    ``also``: what the same or further values say of other findings. ``uses``: check -> its formula;
    what it measured on the same job, with the same pump, goes before the sheet.
    """

    quantity: Id
    states: dict[Id, Spread] = {}
    rates: dict[Id, Pace] = {}
    shows: Id | None = None
    instead: Further | None = None
    also: list[Consequence] = []
    uses: dict[Id, Id] = {}


class Check(Card):
    """Something that a counter hand or a mechanic does to learn one finding.

    ``act``: name of a preparation that several checks share (its minutes are paid once).
    ``does``: what is done, in order, in words of device.yaml: events, what is proved on the way,
    and acts that change nothing but meet a hazard. Its cautions follow from it.
    ``needs_bike``: cannot be seen on the device alone.
    ``needs``: conditions of device.yaml that must still hold (``as_found``: nothing was let out or
    pumped). ``known``: the chance that it can be made and read where it is asked for; left out,
    that of the pack's reporters. ``points_to``: parts of the drawing that it looks at.
    """

    id: Id
    observes: Id
    name: Text
    at: Literal["counter", "bench"]
    points_to: list[Id] = []
    question: Text
    answers: list[Answer] = Field(min_length=2)
    reliability: Reliability
    minutes: float = Field(gt=0, le=120)
    act: Id | None = None
    act_minutes: float = Field(default=0, ge=0, le=60)
    place: Id | None = None
    steps: list[Text] = []
    tools: list[Text] = []
    shop_needs: list[Id] = []
    does: list[Id] = []
    needs_bike: bool = False
    reading: ReadingModel | None = None
    why: str = ""
    applies_when: dict[Id, bool] = {}
    needs: list[Id] = []
    known: Chance | None = None
    source: Id

    @cached_property
    def findings(self) -> tuple[str, ...]:
        """What its answers report on, what it observes first."""
        said = (finding for answer in self.answers for finding in answer.says)
        return tuple(dict.fromkeys((self.observes, *said)))


def reports_of(card: Symptom | Check, state: str) -> dict[str, str]:
    """Finding -> state that an answer reports."""
    says = next((answer.says for answer in card.answers if answer.state == state), {})
    return {card.observes: state, **says}


class Hazard(Card):
    """A way to get hurt and the cautions that stand before it.

    ``acts``: what meets it, as words of ``does`` or marks of a sheet step. ``findings``: what
    whoever rides, carries or posts the shock meets it by, in any state but the healthy one.
    ``chambers``: the hazard exists while one of these may hold pressure; empty means always.
    ``acknowledge``: the step waits for an acknowledgement, not only for the text.
    """

    id: Id
    name: Text
    cautions: list[Id] = Field(min_length=1)
    acts: list[Id] = Field(min_length=1)
    findings: list[Id] = []
    chambers: list[Id] = []
    acknowledge: bool = False


class Caution(Card):
    """One safety message with the parts that ANSI Z535.6 names.

    ``hazard``: one sentence that makes sense alone; it is what is said again in the same visit.
    """

    id: Id
    signal_word: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    hazard: Annotated[Text, Field(pattern=r"^[^.]+\.$")]
    consequence: Text
    avoidance: Text
    source: Id


class Step(Card):
    """One step of a sheet.

    ``does``: as of a check; the step's cautions follow from it and from its marks.
    ``marks``: what the step achieves, in words of device.yaml.
    ``asks_sheet``: data sheet fields whose values belong in the step.
    ``asks``: checks of what it uncovered, asked for once it is done; made already, not again.
    ``uncovers``: the chamber whose inside is seen once it is done: is it what the plan expects?
    ``applies_when``: features of those devices that have this step at all.
    ``points_to``: parts of the drawing that are handled.
    """

    do: Text
    points_to: list[Id] = []
    marks: list[Id] = []
    does: list[Id] = []
    asks_sheet: list[Id] = []
    records: list[Text] = []
    asks: list[Id] = []
    uncovers: Id | None = None
    applies_when: dict[Id, bool] = {}


class Block(Card):
    """Steps that several sheets have in common, written once."""

    id: Id
    name: Text
    steps: list[Step] = Field(min_length=1)
    source: Id


class BlockRow(Card):
    """The place in a sheet's file where the steps of a block stand."""

    block: Id


class Sheet(Card):
    """Work with a sheet to go by.

    ``includes``: smaller outcomes that this one contains. ``minutes`` [min] and ``parts``: its
    standard work, without the causes' remedies. ``opening_minutes``: opening, closing and filling
    again, paid once. ``opens``: chambers that are taken apart.
    """

    id: Id
    name: Text
    plain: Text
    includes: list[Id] = []
    minutes: float = Field(ge=0, le=480)
    opening_minutes: float = Field(default=0, ge=0, le=480)
    parts: float = Field(ge=0)
    opens: list[Id] = []
    kit: list[Text] = []
    shop_needs: list[Id] = []
    steps: list[Step] = Field(min_length=1)
    proof: list[Text] = []
    source: Id


class Stage(Sheet):
    """One outcome of a job.

    ``rank``: its place among the outcomes, the larger the more it does. ``goes_out``: the unit that
    came in is not put back to work here.
    """

    rank: int = Field(ge=0, le=9)
    goes_out: bool = False


class SmallJob(Sheet):
    """A part of an outcome that is a job of its own: its own steps, minutes, parts and approval.

    ``stage``: the outcome that it belongs to. ``shows_at_once``: where it does not help, its own
    proof shows it before the customer has it back.
    """

    stage: Id
    shows_at_once: bool = False


class StageFile(Stage):
    """A stage as it is written: the loader puts the steps of each block in its place."""

    steps: list[Step | BlockRow] = Field(min_length=1)  # type: ignore[assignment]


class SmallJobFile(SmallJob):
    """A small job as it is written: the loader puts the steps of each block in its place."""

    steps: list[Step | BlockRow] = Field(min_length=1)  # type: ignore[assignment]


class Band(Card):
    """One band of a context: values below ``below`` (the last band has none), share of jobs."""

    id: Id
    below: float | None = None
    value: str | None = None
    share: float = Field(gt=0, le=1)


class Context(Card):
    """A shock field that changes how likely causes are."""

    field: Id
    bands: list[Band] = Field(min_length=2)
    source: Id


class Floor(Card):
    """What stands once a finding was reported in a state or a graver one, whatever is believed.

    ``at_most``: the gravest state that counts, where a graver one means something else. ``by``:
    whose report sets it. ``believed``: a chance of it counts for the ride, too. ``until_asked``:
    no floor; its chance counts only until somebody was asked for that finding. ``ride``: the
    verdict at least. ``forbids``: ``open`` (nothing is let out, filled or opened: gas may be
    trapped), ``fill`` (nothing is filled before the bench looked), ``load`` (nobody presses or
    bounces it to try it: a part may fail). ``stage``: an outcome that the plan then holds. ``say``:
    the caution to say before any question. ``lifted_by``: checks whose healthy answer takes it
    away; left out: every look and check of the same finding, by a better witness. ``suspected_by``:
    findings by which a customer may mean it, so that it is looked for before anything else.
    """

    finding: Id
    at_least: Id
    why: Text
    suspected_by: list[Id] = []
    at_most: Id | None = None
    by: list[Literal["customer", "counter", "bench"]] = ["counter", "bench"]
    believed: bool = True
    until_asked: Id | None = None
    ride: RideWord = "ride"
    forbids: list[Literal["open", "fill", "load"]] = []
    stage: Id | None = None
    say: Id | None = None
    lifted_by: list[Id] | None = None


class Reporters(Card):
    """How people and instruments err where no card says so, and how far unasked words count.

    ``customer``: a rider about what no symptom card asks. ``passed_on``: one who passes on what a
    customer, or he himself, saw. ``unasked``: share of a customer's false alarms that is left where
    it was brought up unasked. ``astray``: share of complaints that are about something else or
    heard wrongly throughout. ``in_numbers``: certainty of a mark and a number that were both named.
    ``misread``: chance that a reading is of something else, so that none counts for more against a
    state. ``known``: chance that who is asked can tell, by reporter. ``shared``: how far what one
    reporter says is tempered, because it shares his errors: the power of its likelihood. ``named``:
    how often a customer who is asked what else there is, or what was done, names what there is of a
    group of findings; of other groups nobody thinks.
    """

    customer: Reliability
    passed_on: Reliability
    unasked: float = Field(gt=0, le=1)
    astray: float = Field(gt=0, lt=1)
    in_numbers: float = Field(gt=0, lt=1)
    misread: float = Field(gt=0, lt=0.5)
    named: dict[Id, float] = {}
    known: dict[Id, float] = {}
    shared: dict[Id, float] = {}
    source: Id


class Hearing(Card):
    """What a reading of the customer's words is worth, by its probability.

    ``counts``: from here on it weighs, and is shown as understood. ``asked``: from here on it is
    shown as a question, and its caution is said; it weighs nothing until it is confirmed.
    ``plain``: from here on a sentence says by itself what the whole text does not.
    """

    counts: float = Field(gt=0, lt=1)
    asked: float = Field(gt=0, lt=1)
    plain: float = Field(gt=0, lt=1)


class OverMaximum(Card):
    """The state of a finding that a gauge above the shock's marked maximum shows."""

    finding: Id
    state: Id


class EachDesk(Card):
    """A number of each desk."""

    counter: float = Field(ge=0)
    bench: float = Field(ge=0)

    def at(self, desk: str) -> float:
        """That of the counter or of the bench."""
        return self.counter if desk == "counter" else self.bench


class ComesAndGoes(Card):
    """Findings of which any says that the trouble is not always there; which others then ``hides``
    with what the customer complains of, how often it is away when the shock comes in (``unseen``),
    and how often a desk brings it out all the same, by warming, cooling or working it.
    """

    findings: list[Id] = Field(min_length=1)
    hides: list[Id] = []
    unseen: float = Field(gt=0, lt=1)
    brought_out: EachDesk


class Economics(Card):
    """What time and wrong calls cost the default shop; a shop's own settings override it.

    In ``currency``; rates for each minute. ``comeback``: paid work did not cure it. ``sent_home``:
    nothing was done, and it comes back. ``failed_in_shop``: a small job's own proof shows that it
    did not do. ``needless_opening``: what nothing called for was opened; ``needless_work``: it was
    worked on without opening it. ``requote``: the customer
    was told a plan that the bench corrects. ``ride_on_stop`` .. ``stop_for_nothing``: a verdict of
    the counter about the ride, and how it really was. ``interruption``: what one more question
    costs beside its minutes, where it is asked. ``patience``: questions after which none is asked.
    """

    currency: str
    rate_per_minute: float = Field(gt=0)
    counter_rate_per_minute: float = Field(gt=0)
    comeback: float = Field(gt=0)
    sent_home: float = Field(ge=0)
    failed_in_shop: float = Field(ge=0)
    needless_opening: float = Field(ge=0)
    needless_work: float = Field(ge=0)
    requote: float = Field(gt=0)
    ride_on_stop: float = Field(ge=0)
    gently_on_stop: float = Field(ge=0)
    ride_on_gently: float = Field(ge=0)
    gently_for_nothing: float = Field(ge=0)
    stop_for_nothing: float = Field(ge=0)
    interruption: EachDesk
    patience: EachDesk
    source: Id


#: how often a cause shows a finding, in the words of a second opinion
Tier = Literal["usually", "often", "sometimes", "seldom"]


class SecondOpinion(Card):
    """The numbers of the causes once more, told from the other side, by somebody who did not look.

    ``findings``: finding -> how often -> causes that show it. ``cures``: stage -> how surely ->
    causes that it puts right, those that a smaller stage cures as well left out. ``rides``:
    verdict -> causes. ``hazards``: hazard -> causes whose rider or carrier meets it. ``needs``:
    part -> causes that only a shock with it (``there``) or without it (``missing``) can have.
    """

    findings: dict[Id, dict[Tier, list[Id]]] = {}
    cures: dict[Id, dict[Literal["surely", "perhaps"], list[Id]]] = {}
    rides: dict[RideWord, list[Id]] = {}
    hazards: dict[Id, list[Id]] = {}
    needs: dict[Id, dict[Literal["there", "missing"], list[Id]]] = {}


class LookSign(Card):
    """One thing to see at the five places, offered with a key of its own."""

    check: Id
    state: Id
    text: Text


class Sight(Card):
    """Something that is seen or missed at the first sight of a shock; ``implies``: features that it
    brings along.
    """

    feature: Id
    text: Text
    implies: list[Id] = []


class Retired(Card):
    """An id that is no longer used, what stands in its place, and how its states are said there.

    ``states``: each of its states -> a state of its successor, or `NOT_SURE` where it says less
    than any of them. Empty for cards without states. ``readings``: what was read for it is what its
    successor reads.
    """

    id: Id
    replaced_by: Id
    states: dict[Id, Id] = {}
    readings: bool = False


class MainComplaint(Card):
    """One line of the list offered when the words were not understood."""

    text: Text
    symptom: Id
    state: Id


class Lexicon(Card):
    """What hearing needs beside the sayings of the symptom cards.

    ``beside``: what people say besides their complaint, so that it is not taken for one.
    ``limit_words``: what makes a number the marked maximum; ``not_set``: words after a number that
    make it no pressure. ``no_more``: how people say that there is nothing more to tell.
    """

    no_more: list[Text] = []
    beside: list[Text] = []
    limit_words: list[Text] = []
    not_set: list[Text] = []


class Pack(Card):
    """One device: shares, scale, features, contexts, thresholds, signs, money.

    ``first_sight``: what is asked for as it comes in, all in one question.
    ``start_line``: said before any work. ``always``: cautions that it carries, so that no step
    repeats them. ``equipment``: what a check or a stage may need of the shop, in words; ``tools``:
    what a check may name as a tool. ``told_by``: an event, act or proof -> words of a step by which
    it is known, so that no card lets air out in its text and says nothing of it in ``does``.
    ``as_left``: settings that are written down as it is given back. ``no_complaint``: findings
    whose mention says nothing of what is wrong. ``as_found``: checks with which the bench begins,
    as far as they may be made: what it came in with, before anything else is done.
    """

    id: Id
    name: Text
    scale: dict[Id, float] = Field(min_length=7, max_length=7)
    no_fault_per_1000: Annotated[float, Field(gt=0, lt=1000)] | PlacedRates
    second_fault_per_100: float = Field(gt=0, lt=100)
    unlisted_per_1000: Rate
    unlisted_strength: float = Field(gt=0, lt=1)
    features: dict[Id, float]
    contexts: dict[Id, Context]
    economics: Economics
    stop_at: float = Field(gt=0, lt=1)
    gently_at: float = Field(gt=0, lt=1)
    said_likely: float = Field(gt=0, lt=1)
    said_plainly: float = Field(gt=0, lt=1)
    hearing: Hearing
    reporters: Reporters
    over_maximum: OverMaximum | None = None
    comes_and_goes: ComesAndGoes | None = None
    first_sight: list[Sight] = Field(default=[], max_length=8)
    look: list[Id] = Field(min_length=1)
    look_signs: list[LookSign] = Field(min_length=1, max_length=9)
    main_complaints: list[MainComplaint] = Field(min_length=3)
    start_line: Text
    always: list[Id] = []
    systems: dict[Id, Text]
    equipment: dict[Id, Text] = {}
    tools: list[Text] = []
    told_by: dict[Id, list[Text]] = {}
    as_left: list[Text] = []
    no_complaint: list[Id] = []
    as_found: list[Id] = []
    source: Id
