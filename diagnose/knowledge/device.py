"""The shape of a pack's device: its chambers, what can be done to it, and what that demands.

Rules
-----
- What one device is lies in its device.yaml; the gate, the proof, the sheets and the job file ask
  the functions of this file and name no part.
- Two marks belong to every device, because the gate of every job asks for them: that it is written
  down how it came in, and that it can be closed again.
- What may hold pressure holds it until an effect proved the opposite.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from functools import cached_property
from typing import Annotated

from pydantic import Field

from diagnose.knowledge.card import Card, Id, Text

__all__ = ["ANYTHING", "CAN_CLOSE", "HISTORY", "WRITTEN", "Device", "Quantity"]

#: marks of every device
WRITTEN, CAN_CLOSE = "written_down", "can_close_again"

#: the one field of every device that is free text: heard as words are, erased as words are
HISTORY = "history"

#: what happened where nobody knows what: every chamber may hold pressure
ANYTHING = "anything"


class Chamber(Card):
    """Something in the device that may hold pressure.

    ``name``: on papers. ``opened``: sentence that says it is opened. ``opened_by``: acts, events
    and marks that may only follow once it was proved empty. ``sheet_mark``: what a sheet that opens
    it achieves. ``traps``: a sign that forbids opening is about this chamber. ``full``,
    ``empty``: what is said of it.
    """

    id: Id
    name: Text
    opened: str = ""
    opened_by: list[Id] = []
    sheet_mark: Id | None = None
    traps: bool = False
    full: Text = "may hold pressure"
    empty: Text = "found empty"


class Event(Card):
    """Something that is done to the device and changes it.

    ``says``: in words. ``fills``, ``empties``: chambers that may hold pressure afterwards, or are
    proved empty. ``lets_out``: lets pressure out or takes a barrier away. ``opens``: as a check, it
    waits until it is written down and can be closed again. ``gentle``: leaves every pressure as it
    was.
    """

    says: Text
    fills: list[Id] = []
    empties: list[Id] = []
    lets_out: bool = False
    opens: bool = False
    gentle: bool = False


class Act(Card):
    """Something that changes nothing in a chamber, but meets a hazard.

    ``loads``: it is ridden, bounced or loaded. ``posts``: it is posted or handed on.
    ``sets_apart``: it is put away because a sign forbids opening it. ``closed``: it cannot be done
    while the device lies open.
    """

    says: Text
    loads: bool = False
    closed: bool = False
    posts: bool = False
    sets_apart: bool = False


class Mark(Card):
    """What a step of a sheet achieves.

    ``how``: what to do first where it is missing. ``checks``: a check may prove it as well.
    ``blind``: never without the marks that come before it in ``order``. ``implies``: marks that a
    sheet with it has, too. ``asks``: values of the data sheet that its step asks for. ``inside``:
    only on a sheet that opens this chamber. ``right``: right that its step needs.
    """

    says: str = ""
    how: str = ""
    fills: list[Id] = []
    empties: list[Id] = []
    checks: bool = False
    blind: bool = False
    implies: list[Id] = []
    asks: list[Id] = []
    inside: Id | None = None
    right: Id | None = None


class Condition(Card):
    """What a check may need of the device.

    ``says``: why it cannot be made where this does not hold. ``made_by``: events that bring it
    about; left out, it holds of a device as it comes in. ``spoiled_by``: events that end it.
    """

    says: Text
    made_by: list[Id] = []
    spoiled_by: list[Id] = Field(min_length=1)


class Follows(Card):
    """``then`` comes after ``first`` where both stand on a sheet, and why."""

    first: Id
    then: Id
    why: Text


class Outcomes(Card):
    """Stages with a part of their own.

    ``refer``: it is referred out or replaced. ``nothing``: nothing is done to it. ``shut``: it must
    not be opened.
    """

    refer: Id
    nothing: Id
    shut: Id


class JobField(Card):
    """One thing that a job may say of the device.

    ``kind``: ``flag``, ``word``, ``text``, or a kind of quantity of the bench. ``unit``: printed
    where its name does not end in it. ``size``: what the next shop asks for, in words. ``says``: a
    flag in words that follow 'with' and 'without'.
    """

    kind: Text
    says: str = ""
    unit: str = ""
    size: str = ""


class SheetValues(Card):
    """Values of the shop's data sheet of one model.

    ``numbers``: those of the bench that this device has. ``words``: value -> what it is, where it
    is more than a number. ``flags``: flag of a job that belongs to the model -> what it is.
    ``asks``: what a step asks for by another name -> values that answer it.
    ``datum``: value -> value without which it is as good as none.
    """

    numbers: list[Id] = []
    words: dict[Id, Text] = {}
    flags: dict[Id, Text] = {}
    asks: dict[Id, list[Id]] = {}
    datum: dict[Id, Id] = {}


class Fitting(Card):
    """What the fittings of the shop must fit: a value of the data sheet, for opening a chamber."""

    value: Id
    chamber: Id


class Quantity(Card):
    """What a record of a sheet is, where it is a number.

    ``kind``: sort of quantity, as the bench names it. ``unit``: a bare number counts in it.
    """

    kind: Text
    unit: str = ""


class Papers(Card):
    """Sentences about the device on papers.

    ``untouched``: nothing was done to it. ``both_times``: written down as found and as left.
    ``quantities``: records of the sheets that are numbers; the others are words.
    ``own_test``: which of them is the test of what was complained of.
    ``told_as_found``: which of them a field of the job answers; ``read_by``: which a reading of a
    check does, (check, reading). ``limit``: field that is never exceeded. ``choice``: what its
    owner may change. ``until_here``, ``packing``, ``bike_left``: for whoever brings or sends it.
    """

    untouched: Text
    both_times: list[Text] = []
    quantities: dict[Text, Quantity] = {}
    own_test: Text | None = None
    told_as_found: dict[Text, Id] = {}
    read_by: dict[Text, Annotated[list[Id], Field(min_length=2, max_length=2)]] = {}
    limit: Id | None = None
    choice: list[Text] = []
    until_here: list[Text] = []
    packing: list[Text] = []
    bike_left: list[Text] = []


class Device(Card):
    """One kind of device.

    ``holds``: what the chambers hold, in a word. ``events``, ``acts``: what can be done to it, in
    words of ``does``. ``marks``: what a step achieves. ``order``: which mark comes first, and why.
    ``conditions``: what a check may need, until it is spoiled. ``demands``: act -> hazards that
    must be known before it, the proof's second opinion beside the hazards' own list. ``keyed``:
    hazards that wait for a key. ``load_hazard``: hazard of riding it while a part that carries load
    may fail. ``referral_hazards``: hazards of the shop that it goes to; ``referral_shut`` takes the
    last one's place where it must not be opened. ``by_hand``: cautions with which it is not posted.
    ``step_right``: right that a step needs whose marks name no other. ``named_by``: fields that
    name it in a word or two.
    """

    holds: Text
    chambers: list[Chamber] = Field(min_length=1)
    events: dict[Id, Event]
    acts: dict[Id, Act]
    marks: dict[Id, Mark]
    order: list[Follows] = []
    conditions: dict[Id, Condition] = {}
    demands: dict[Id, list[Id]]
    keyed: list[Id] = []
    load_hazard: Id | None = None
    referral_hazards: list[Id] = []
    referral_shut: Id | None = None
    by_hand: list[Id] = []
    stages: Outcomes
    step_right: Id
    fields: dict[Id, JobField]
    named_by: list[Id] = []
    sheet: SheetValues = SheetValues()
    fitting: Fitting | None = None
    papers: Papers

    @cached_property
    def chamber_ids(self) -> tuple[str, ...]:
        """Chambers, in order."""
        return tuple(chamber.id for chamber in self.chambers)

    @cached_property
    def trapping(self) -> frozenset[str]:
        """Chambers in which pressure may be trapped."""
        return frozenset(chamber.id for chamber in self.chambers if chamber.traps)

    @cached_property
    def filling(self) -> frozenset[str]:
        """Events that put pressure in."""
        return frozenset(word for word, event in self.events.items() if event.fills)

    @cached_property
    def letting_out(self) -> frozenset[str]:
        """Events that let pressure out or take a barrier away."""
        return frozenset(word for word, event in self.events.items() if event.lets_out)

    @cached_property
    def opening(self) -> frozenset[str]:
        """Events that wait, as checks, until it can be closed again."""
        return frozenset(word for word, event in self.events.items() if event.opens)

    @cached_property
    def loading(self) -> frozenset[str]:
        """Acts that ride, bounce or load it."""
        return frozenset(word for word, act in self.acts.items() if act.loads)

    @cached_property
    def posting(self) -> tuple[str, ...]:
        """Acts that post it or hand it on."""
        return tuple(word for word, act in self.acts.items() if act.posts)

    @cached_property
    def handing_on(self) -> tuple[str, ...]:
        """Acts that post it, hand it on or put it away."""
        return tuple(word for word, act in self.acts.items() if act.posts or act.sets_apart)

    @cached_property
    def does(self) -> frozenset[str]:
        """Every word that may stand in ``does`` of a check."""
        shown = {word for word, mark in self.marks.items() if mark.checks}
        return frozenset(self.events.keys() | self.acts.keys() | shown)

    @cached_property
    def kept(self) -> frozenset[str]:
        """What is kept with a job when it was done: events, and marks that bear on a chamber."""
        bear = {word for word, mark in self.marks.items() if mark.fills or mark.empties}
        return frozenset(self.events.keys() | bear)

    def chamber(self, ident: str) -> Chamber:
        """The chamber with this id."""
        return next(chamber for chamber in self.chambers if chamber.id == ident)

    def says(self, word: str) -> str:
        """An event, act or mark in words."""
        done = self.events.get(word) or self.acts.get(word) or self.marks[word]
        return done.says or word.replace("_", " ")

    def effects(self, words: Iterable[str]) -> tuple[str, ...]:
        """Those of the words that change the device or prove something of it, in order."""
        return tuple(word for word in words if word not in self.acts)

    def may_lie_open(self, words: Iterable[str]) -> bool:
        """What is done changes nothing, and can be done while it lies open."""
        return all(word in self.acts and not self.acts[word].closed for word in words)

    def right_for(self, effects: Iterable[str]) -> str:
        """The right that a step with these effects needs."""
        named = (self.marks[word].right for word in effects if word in self.marks)
        return next((right for right in named if right is not None), self.step_right)

    def is_gentle(self, what: str) -> bool:
        """It leaves the pressure of every chamber as it was."""
        return what in self.events and self.events[what].gentle

    def all_full(self) -> dict[str, bool]:
        """Every chamber may hold pressure."""
        return dict.fromkeys(self.chamber_ids, True)

    def after(self, chambers: Mapping[str, bool], what: str) -> dict[str, bool]:
        """Which chambers may hold pressure after one event, act or mark."""
        if what == ANYTHING:
            return self.all_full()
        done = self.events.get(what) or self.marks.get(what)
        if done is None:
            return dict(chambers)
        return {
            **chambers,
            **dict.fromkeys(done.empties, False),
            **dict.fromkeys(done.fills, True),
        }

    def after_all(self, happened: Iterable[str]) -> dict[str, bool]:
        """Which chambers may hold pressure after all that happened to a job's device."""
        chambers = self.all_full()
        for what in happened:
            chambers = self.after(chambers, what)
        return chambers

    def unmet(self, needs: Iterable[str], happened: Iterable[str]) -> list[Condition]:
        """Those of the conditions that do not hold after all that happened."""
        done = list(happened)
        return [self.conditions[name] for name in needs if not self._holds(name, done)]

    def _holds(self, name: str, happened: Iterable[str]) -> bool:
        condition = self.conditions[name]
        holds = not condition.made_by
        for what in happened:
            if what in condition.made_by:
                holds = True
            elif what in (ANYTHING, *condition.spoiled_by):
                holds = False
        return holds

    def spoils(self, does: Collection[str]) -> set[str]:
        """Conditions that end with what is done."""
        return {n for n, c in self.conditions.items() if not {*c.spoiled_by}.isdisjoint(does)}

    def unit_of(self, field: str) -> str:
        """Unit printed behind a field's number; empty where its name says it."""
        return self.fields[field].unit if field in self.fields else ""

    def words_of(self, field: str) -> str:
        """A field in words."""
        said = self.fields[field].says if field in self.fields else ""
        return said or field.replace("_", " ")

    def field_of(self, kind: str) -> str:
        """The field of a kind of quantity; empty where a job says nothing of the kind."""
        return next((name for name, field in self.fields.items() if field.kind == kind), "")
