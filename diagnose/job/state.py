"""The pure fold: events in, the job as it stands out.

Rules
-----
- One report for each (finding, reporter): a later one replaces the earlier.
- A withdrawn event counts as if it had not been; physical events are never withdrawn.
- What happened is kept in the words of the pack; what it did to the chambers its device says.
- A visit of one person ends with hand-over, with resuming and with a long break; breaks are told
  from the times of the events, never from a clock. An acknowledgement lapses with the visit and
  after any physical event; what was read whole counts for the whole visit.
- A reading before a physical event that changes what it measures does not bear on the state after
  it: the diagnosis is of the shock as it came in, so such a reading stays valid for that shock and
  is kept with the number of physical events before it.
- A reading whose second half is still to come is void once somebody else's deed changed the
  pressure: the first half was read of another state.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import accumulate
from typing import Any

from diagnose.job.ending import Ending
from diagnose.job.events import (
    NOT_SURE,
    Acknowledged,
    Answered,
    Approved,
    Arrived,
    Begun,
    Booked,
    CheckReadied,
    Closed,
    ClosingBegun,
    ClosingNoted,
    Compared,
    Complained,
    Described,
    Event,
    Filed,
    FirstHalfChosen,
    HandedOver,
    Happened,
    Judged,
    LookLeft,
    Measured,
    MoreLeft,
    Noted,
    NoteLeft,
    Opened,
    Promised,
    Quoted,
    Read,
    Readied,
    Recorded,
    Referred,
    Resumed,
    SecondHalfChosen,
    SheetChosen,
    SightLeft,
    Skipped,
    Stepped,
    Stocked,
    Struck,
    Understood,
    WentOn,
    Withdrawn,
    WordsLeft,
)
from diagnose.job.facts import OFFICE_FIELDS, Facts
from diagnose.knowledge.device import Device
from diagnose.knowledge.models import Place
from diagnose.remembered import Remembered
from diagnose.symptom_graph.routes import keys_after

__all__ = [
    "LONG_BREAK",
    "Choices",
    "JobState",
    "Report",
    "ends_wait",
    "fold",
    "long_break",
    "undoable",
]

#: a pause longer than this ends what was acknowledged before it [s] (a foreman's judgement)
LONG_BREAK = 30 * 60

#: events of the office: to write one is not to work at the bench
_OFFICE = (
    Approved,
    Arrived,
    Closed,
    ClosingNoted,
    Filed,
    HandedOver,
    Judged,
    Noted,
    NoteLeft,
    Promised,
    Quoted,
    Stocked,
    Withdrawn,
)


@dataclass(frozen=True)
class Report:
    """One answer or set of readings that counts."""

    number: int
    ask: str
    by: str
    state: str = ""
    readings: dict[str, str] = field(default_factory=dict)
    epoch: int = 0


@dataclass(frozen=True)
class Choices:
    """What was chosen at this desk, besides answers; it ends when the job is handed over.

    ``sheets``: stages, in the order in which their sheets were chosen. ``ready_checks``: checks
    that may open the shock. ``first_halves``, ``second_halves``: checks of which this half is read
    now. ``gone_on``: checks that sleep while others go on. ``ending``: what was said so far at
    the end of the job; None: it is not being closed. ``look_left``, ``sight_left``,
    ``words_left``, ``more_left``, ``note_left``: see the events.
    """

    sheets: tuple[str, ...] = ()
    ready_checks: frozenset[str] = frozenset()
    first_halves: tuple[str, ...] = ()
    second_halves: frozenset[str] = frozenset()
    gone_on: frozenset[str] = frozenset()
    ending: Ending | None = None
    look_left: bool = False
    sight_left: bool = False
    words_left: bool = False
    more_left: bool = False
    note_left: bool = False

    @property
    def unanswered(self) -> int:
        """How many of the conversation's own questions to the counter brought no answer."""
        return self.look_left + self.words_left

    def after(self, begun: str) -> Choices:
        """These choices once the first half of a check was read: those of the check are used up."""
        return replace(
            self,
            ready_checks=self.ready_checks - {begun},
            first_halves=tuple(check for check in self.first_halves if check != begun),
            second_halves=self.second_halves - {begun},
            gone_on=self.gone_on - {begun},
        )


@dataclass(frozen=True)
class JobState:
    """The job after its events.

    ``at``: the desk where it lies; ``opened_at``: the one that it came to first, which stays.
    ``shock``: its fields, which belief reads; ``facts``: what the office keeps of the job.
    ``said``: the words of the complaint, each time that some came.
    ``reports``: by (ask id, reporter), in order. ``told``: every answer and reading of the
    customer, also those that a later one replaced. ``struck``: symptoms that the words were
    misheard for. ``epoch``: number of physical events so far.
    ``happened``: what was done to it, in words of its device. ``acknowledged``: (person, hazard)
    valid now;
    ``supervised``: (person, hazard, supervisor) of those that carry a second name. ``read``:
    (person, caution) read whole in this visit. ``time``: of the latest event.

    ``answers``: what the customer agreed to and declined, in order; ``approved`` the last of them.
    ``quoted``: the quote that waits for an answer, ``quotes`` how often one was made since the last
    answer. ``awaited``: first readings whose second half is to come, read after ``awaited_epoch``
    physical events. ``kit``: item -> where it is.
    ``recorded``: what steps asked to be written down, by step.
    ``compared``: what was uncovered against what was expected; ``set_back``: it was something else,
    and nobody chose to go on with the sheet since.
    ``here_since``: when it came to where it is, ``came_at``: by which event; ``begun``: work there
    has begun. ``ready``, ``referred``: see the events.
    """

    at: str = "counter"
    opened_at: Place = "counter"
    channel: str = "bike_here"
    pack: str = ""
    knowledge: str = ""
    shock: dict[str, Any] = field(default_factory=dict)
    facts: Facts = field(default_factory=Facts)
    complaint: str = ""
    said: tuple[str, ...] = ()
    reports: dict[tuple[str, str], Report] = field(default_factory=dict)
    told: tuple[Report, ...] = ()
    struck: frozenset[str] = frozenset()
    unsure: frozenset[str] = frozenset()
    skipped: tuple[str, ...] = ()
    choices: Choices = Choices()
    happened: tuple[str, ...] = ()
    acknowledged: frozenset[tuple[str, str]] = frozenset()
    supervised: frozenset[tuple[str, str, str]] = frozenset()
    read: frozenset[tuple[str, str]] = frozenset()
    epoch: int = 0
    steps: tuple[tuple[str, int], ...] = ()
    recorded: dict[tuple[str, int], dict[str, str]] = field(default_factory=dict)
    compared: tuple[Compared, ...] = ()
    set_back: bool = False
    confirmed: bool = False
    booked: bool = False
    approved: Approved | None = None
    answers: tuple[Approved, ...] = ()
    quoted: Quoted | None = None
    quotes: int = 0
    awaited: Begun | None = None
    awaited_epoch: int = 0
    kit: dict[str, Stocked] = field(default_factory=dict)
    promised: str = ""
    ready: bool = False
    referred: Referred | None = None
    here_since: str = ""
    came_at: int = 0
    begun: bool = False
    closed: Closed | None = None
    last_judged: dict[str, Any] | None = None
    person: str = ""
    count: int = 0
    time: str = ""

    def chambers(self, device: Device) -> dict[str, bool]:
        """Chamber -> may hold pressure, after all that happened."""
        return device.after_all(self.happened)

    @property
    def asked_for_more(self) -> bool:
        """The customer was asked what else there is, or went on by himself."""
        return self.choices.more_left or len(self.said) > 1

    @property
    def dealt_with(self) -> frozenset[str]:
        """Questions and checks that need not be put: answered, not known, left out, asleep."""
        asleep = {self.awaited.ask} if self.awaited is not None else set()
        return frozenset({ask for ask, _ in self.reports} | self.unsure | {*self.skipped} | asleep)

    @property
    def unexplained(self) -> tuple[str, ...]:
        """Causes that the last look inside spoke against, as long as none was found that fits."""
        told = [c for c in self.compared if c.state != NOT_SURE]
        return tuple(told[-1].causes) if told and told[-1].state == "no" else ()

    @property
    def denied(self) -> frozenset[str]:
        """Causes that a look inside spoke against."""
        return frozenset(c for row in self.compared if row.state == "no" for c in row.causes)

    @property
    def untouched(self) -> bool:
        """Nothing was chosen, left out, found or done at the bench yet."""
        found = any(by == "bench" for _, by in self.reports)
        done = found or self.happened or self.steps or self.skipped or self.awaited
        return not done and self.choices == Choices()

    @property
    def sheet_values(self) -> Mapping[str, float | str]:
        """Values of the shop's data sheet that was put to the job, by field."""
        return self.facts.sheet_values or {}

    @property
    def wordings(self) -> tuple[str, ...]:
        """The complaint as it stood each time that words came, and those words by themselves."""
        return tuple(dict.fromkeys([*accumulate(self.said, "{}. {}".format), *self.said]))


def long_break(earlier: str, later: str) -> bool:
    """Whether so much time lies between two events that acknowledgements have lapsed.

    Times that cannot be compared (one with, one without its offset) count as a break; a job that
    keeps no times has none. A clock that was put back counts by its distance.
    """
    if not earlier or not later:
        return False
    try:
        gap = datetime.fromisoformat(later) - datetime.fromisoformat(earlier)
    except (TypeError, ValueError):
        return True
    return abs(gap.total_seconds()) > LONG_BREAK


def ends_wait(begun: Begun, happened: Happened) -> bool:
    """Whether a happening makes first readings void: another deed changed the pressure."""
    return happened.step != begun.ask and not happened.gentle


def undoable(events: Iterable[Event]) -> int | None:
    """Number of the latest event that a person may take back, or None."""
    events = list(events)
    gone = {e.number for e in events if isinstance(e, Withdrawn)}
    kinds = (
        Answered, Measured, Begun, Skipped, Booked, Complained, Described, Struck, Understood,
        SheetChosen, CheckReadied, FirstHalfChosen, SecondHalfChosen, WentOn, ClosingBegun,
        ClosingNoted, LookLeft, SightLeft, WordsLeft, MoreLeft, NoteLeft, Compared, Recorded,
    )  # fmt: skip
    for number in range(len(events) - 1, -1, -1):
        if number not in gone and isinstance(events[number], kinds):
            return number
    return None


def fold(events: Iterable[Event]) -> JobState:
    """Apply events in order."""
    return _folded(tuple(events))


def _fold(events: tuple[Event, ...]) -> JobState:
    gone = {e.number for e in events if isinstance(e, Withdrawn)}
    state, time = JobState(), ""
    for number, event in enumerate(events):
        if (state.acknowledged or state.read) and long_break(time, event.time):
            state = _lapsed(state)
        time = event.time or time
        if event.person and event.person != state.person:
            state = replace(state, person=event.person)
        if number not in gone:
            state = _apply(state, number, event)
            if state.at == "bench" and not isinstance(event, _OFFICE):
                state = replace(state, begun=True)
    return replace(state, count=len(events), time=time)


#: a key asks for the same job a dozen times: before the reply, after it, and for each thing shown
_folded = Remembered(_fold, most=8)


def _lapsed(state: JobState) -> JobState:
    return replace(state, acknowledged=frozenset(), supervised=frozenset(), read=frozenset())


def _choose(state: JobState, **chosen: Any) -> JobState:
    return replace(state, choices=replace(state.choices, **chosen))


def _apply(state: JobState, number: int, event: Event) -> JobState:
    match event:
        case Opened():
            return replace(
                state,
                at=event.at,
                opened_at=event.at,
                channel=event.channel,
                pack=event.pack,
                knowledge=event.knowledge,
                here_since=event.time,
            )
        case Arrived():
            return replace(state, channel=event.channel)
        case Described():
            # Older versions kept the facts of the office among the fields of the shock.
            fields = event.shock.items()
            office = {name: value for name, value in fields if name in OFFICE_FIELDS}
            own = {name: value for name, value in fields if name not in OFFICE_FIELDS}
            state = replace(state, shock={**state.shock, **own})
            return replace(state, facts=state.facts.model_copy(update=office))
        case Filed():
            return replace(state, facts=state.facts.model_copy(update=event.facts.known()))
        case Complained():
            words = f"{state.complaint}. {event.text}" if state.complaint else event.text
            said = (*state.said, event.text)
            return replace(state, complaint=words, said=said, confirmed=False)
        case Answered() if event.state == NOT_SURE:
            # Who looked again and cannot tell takes nothing back of what was found before.
            gone = (event.ask, "customer") if event.by == "customer" else None
            return replace(
                state,
                unsure=state.unsure | {event.ask},
                reports={k: r for k, r in state.reports.items() if k != gone},
            )
        case Answered():
            report = Report(number, event.ask, event.by, state=event.state, epoch=state.epoch)
            return _report(state, report)
        case Struck():
            return replace(state, struck=state.struck | {event.ask})
        case Measured():
            begun = state.awaited is not None and state.awaited.ask == event.ask
            # The second half bears on the shock as it was when the first was read.
            epoch = state.awaited_epoch if begun else state.epoch
            report = Report(number, event.ask, event.by, readings=dict(event.readings), epoch=epoch)
            return _report(state, report)
        case Begun():
            return replace(
                state,
                awaited=event,
                awaited_epoch=state.epoch,
                choices=state.choices.after(event.ask),
                skipped=tuple(ask for ask in state.skipped if ask != event.ask),
            )
        case Skipped() if state.awaited is not None and state.awaited.ask == event.ask:
            # To leave out a check that sleeps is to go on without it; older jobs say it so.
            return _choose(state, gone_on=state.choices.gone_on | {event.ask})
        case Skipped():
            return replace(state, skipped=(*state.skipped, event.ask))
        case FirstHalfChosen():
            return _choose(state, first_halves=(*state.choices.first_halves, event.check))
        case SecondHalfChosen():
            return _choose(state, second_halves=state.choices.second_halves | {event.check})
        case WentOn():
            return _choose(state, gone_on=state.choices.gone_on | {event.check})
        case CheckReadied():
            return _choose(state, ready_checks=state.choices.ready_checks | {event.check})
        case SheetChosen():
            state = replace(state, set_back=False)
            return _choose(state, sheets=(*state.choices.sheets, event.stage))
        case Compared():
            compared = (*state.compared, event)
            return replace(state, compared=compared, set_back=event.state == "no")
        case ClosingBegun():
            return _choose(state, ending=Ending())
        case ClosingNoted() if state.choices.ending is not None:
            return _choose(state, ending=state.choices.ending.with_more(event.ending))
        case LookLeft():
            return _choose(state, look_left=True)
        case SightLeft():
            return _choose(state, sight_left=True)
        case WordsLeft():
            return _choose(state, words_left=True)
        case MoreLeft():
            return _choose(state, more_left=True)
        case NoteLeft():
            return _choose(state, note_left=True)
        case Acknowledged():
            pairs = {(event.person, hazard) for hazard in event.hazards}
            signed = {(*pair, event.supervisor) for pair in pairs if event.supervisor}
            return replace(
                state,
                acknowledged=state.acknowledged | pairs,
                supervised=state.supervised | signed,
            )
        case Read():
            pairs = {(event.person, caution) for caution in event.cautions}
            return replace(state, read=state.read | pairs)
        case Happened():
            kept = keys_after(state.acknowledged, event.what)
            awaited = state.awaited
            if awaited and ends_wait(awaited, event):
                awaited = None
            return replace(
                state,
                awaited=awaited,
                ready=False,
                happened=(*state.happened, event.what),
                epoch=state.epoch + 1,
                acknowledged=kept,
                supervised=frozenset(s for s in state.supervised if s[:2] in kept),
            )
        case Stepped():
            return replace(state, steps=(*state.steps, (event.stage, event.number)))
        case Recorded():
            recorded = {**state.recorded, (event.stage, event.number): dict(event.values)}
            return replace(state, recorded=recorded)
        case Understood():
            return replace(state, confirmed=True)
        case HandedOver():
            return replace(
                _lapsed(state),
                at=event.at,
                booked=False,
                skipped=(),
                choices=Choices(),
                person=event.to or state.person,
                ready=False,
                referred=None,
                here_since=event.time,
                came_at=number,
                begun=state.begun and event.at == state.at,
            )
        case Resumed():
            return _lapsed(state)
        case Booked():
            return replace(state, booked=True, here_since=event.time)
        case Quoted():
            return replace(state, quoted=event, quotes=state.quotes + 1)
        case Approved():
            answers = (*state.answers, event)
            return replace(state, approved=event, answers=answers, quoted=None, quotes=0)
        case Stocked():
            return replace(state, kit={**state.kit, event.item: event})
        case Promised():
            return replace(state, promised=event.day)
        case Readied():
            return replace(state, ready=True, here_since=event.time)
        case Referred():
            return replace(state, referred=event)
        case Withdrawn():
            # What is taken back is worked on again; so a test that did not pass.
            return replace(state, ready=False)
        case Judged():
            return replace(state, last_judged=event.judgement)
        case Closed():
            return replace(state, closed=event)
        case _:
            return state


def _report(state: JobState, report: Report) -> JobState:
    if report.by == "customer":
        state = replace(state, told=(*state.told, report))
    key = (report.ask, report.by)
    rest = {k: r for k, r in state.reports.items() if k != key}
    awaited = state.awaited
    if awaited and awaited.ask == report.ask:
        awaited = None
    return replace(
        state,
        reports={**rest, key: report},
        unsure=state.unsure - {report.ask},
        awaited=awaited,
    )
