"""No hazardous step before its cautions were shown whole and acknowledged.

Rules
-----
- The conversation asks this file before it offers a check or sheet step and again when the reply
  comes in, so every front end meets the same gate; there is no way around it.
- An acknowledgement belongs to a person, a hazard and a state of the shock. Which of them still
  hold is the fold's affair; which a deed waits for is decided here.
- Rights: whoever lacks the right for a step needs beside their own key the initials of somebody
  who may supervise it. A shop without a list of people lets everybody do everything.
- A sheet that lets anything out is gone through only when no sign of trapped gas stands, the
  customer agreed, the as-found data are written down, and the shop can close the shock again today.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.errors import InputError, RefusedError
from diagnose.job.agreement import word_on
from diagnose.job.state import JobState
from diagnose.knowledge.device import CAN_CLOSE, WRITTEN
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Caution, Sheet
from diagnose.symptom_graph.cautions import must_acknowledge, required_cautions
from diagnose.symptom_graph.routes import Deed, why_not
from diagnose.symptom_graph.variants import marks_of, steps_of

__all__ = [
    "COUNTER",
    "REASONS",
    "SUPERVISE",
    "Clearance",
    "House",
    "Roles",
    "approved",
    "clearance",
    "obstacle",
    "reason_words",
    "refusal",
    "require",
    "require_way",
    "supervisor",
]

#: rights of every shop; those of a pack's steps stand in its device
COUNTER, SUPERVISE = "counter", "supervise"

#: obstacle -> what is said of it, and what to do next; of a missing mark its device says that
REASONS: dict[str, tuple[str, str]] = {
    "sign": (
        "a sign of trapped gas stands; nothing is let out, filled or opened.",
        "Clear the sign with its bench check, or tag it and refer it out.",
    ),
    "damage": (
        "a part that holds pressure may be damaged; nothing is filled.",
        "Clean it and look at it under a lamp first; cracked or dented, it goes out as it is.",
    ),
    "approval": (
        "the customer has not agreed to this.",
        "Call, say what it is and what it costs, and record the answer: diagnose jobs approve JOB.",
    ),
    "not_here": (
        "this shop cannot close it again.",
        "It is not opened here; it goes out with its referral pack: diagnose jobs refer JOB.",
    ),
    "written_down": (
        "how it came in is not written down yet.",
        "",
    ),
    "can_close_again": (
        "nobody has said that it can be closed again today.",
        "",
    ),
}


@dataclass(frozen=True)
class Roles:
    """Who may do what: initials -> rights. Empty: everybody may do everything."""

    people: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def may(self, person: str, right: str) -> bool:
        """Whether this person holds the right."""
        return not self.people or right in self.people.get(person, frozenset())

    def may_sign(self, supervisor: str, right: str) -> bool:
        """Whether this name counts beside that of somebody without the right."""
        return self.may(supervisor, SUPERVISE) and self.may(supervisor, right)


def _lacks_nothing(_stage: str, _sheet: Mapping[str, float | str]) -> Sequence[str]:
    return ()


@dataclass(frozen=True)
class House:
    """How the shop works.

    ``asks``: a sheet that lets something out waits for the customer's word even where nobody asked
    for it. ``lacks``: (sheet, values of the data sheet) -> what is missing to close it again.
    ``ready_days``: working days after which it is told to be ready, None: no day is named.
    ``closed_on``: weekdays that do not count, Monday is 0.
    """

    asks: bool = True
    lacks: Callable[[str, Mapping[str, float | str]], Sequence[str]] = _lacks_nothing
    ready_days: int | None = None
    closed_on: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Clearance:
    """What stands between a person and a deed.

    ``cautions``: to show, in order. ``read``: those of them that this person read whole in this
    visit. ``waiting``: hazards still to be acknowledged by this
    person in this state. ``unsigned``: hazards that this person acknowledged, but that wait for a
    supervisor's initials for the right ``right``. Both empty: go ahead.
    """

    cautions: tuple[Caution, ...]
    waiting: tuple[str, ...]
    unsigned: tuple[str, ...] = ()
    right: str = ""
    read: frozenset[str] = frozenset()


def clearance(
    knowledge: Knowledge, deed: Deed, job: JobState, person: str, roles: Roles | None = None
) -> Clearance:
    """Cautions of a deed now, and what it still waits for."""
    roles = roles or Roles()
    chambers = job.chambers(knowledge.device)
    cards = required_cautions(knowledge, deed.acts, chambers)
    needed = must_acknowledge(knowledge, deed.acts, chambers)
    right = knowledge.device.right_for(deed.effects)
    waiting = tuple(h for h in needed if (person, h) not in job.acknowledged)
    unsigned: tuple[str, ...] = ()
    if not roles.may(person, right):
        signed = {
            hazard
            for who, hazard, boss in job.supervised
            if who == person and roles.may_sign(boss, right)
        }
        unsigned = tuple(h for h in needed if h not in signed)
    read = frozenset(card.id for card in cards if (person, card.id) in job.read)
    return Clearance(tuple(cards), waiting, unsigned, right, read)


def require(
    knowledge: Knowledge, deed: Deed, job: JobState, person: str, roles: Roles | None = None
) -> None:
    """Refuse a deed whose cautions were not acknowledged, or not by enough people.

    Raises
    ------
    RefusedError : names the hazards that wait.
    """
    clear = clearance(knowledge, deed, job, person, roles)
    waiting = clear.waiting or clear.unsigned
    if waiting:
        names = ", ".join(knowledge.hazards[h].name for h in waiting)
        who = "" if clear.waiting else " for a supervisor's initials"
        raise RefusedError(
            f"this step waits{who}: {names}.",
            where=deed.ident,
            next_step="Read the cautions and acknowledge them; then do the step.",
        )


def supervisor(roles: Roles, right: str, initials: str) -> str:
    """The second name that was given, if it counts.

    Raises
    ------
    InputError : nobody who may supervise this; names who may.
    """
    name = initials.strip()
    if roles.may_sign(name, right):
        return name
    able = [who for who in roles.people if roles.may_sign(who, right)]
    follow = f"May supervise it: {', '.join(sorted(able))}." if able else "Refer it out."
    raise InputError(f"'{name[:20]}' may not supervise this step.", next_step=follow)


def approved(knowledge: Knowledge, sheet: str, job: JobState) -> bool:
    """The customer's latest word on this sheet, or on one that contains it, is yes."""
    word = word_on(knowledge, sheet, job.answers)
    return word is not None and not word.declined


def obstacle(
    knowledge: Knowledge,
    deed: Deed,
    job: JobState,
    *,
    sign: bool,
    clearing: Iterable[str] = (),
    fill: bool = True,
    house: House | None = None,
) -> str:
    """What forbids a deed besides its cautions: a key of `REASONS`, or nothing.

    Where the shop wants no approvals, a stage is open until somebody asked the customer about this
    job; from then on it goes by what was answered.
    """
    house = house or House()
    agreed = bool(deed.stage) and approved(knowledge, deed.stage, job)
    if deed.stage:
        sheet = knowledge.sheets[deed.stage]
        first = deed.number == 0 and knowledge.lets_out(sheet)
        if first and house.lacks(sheet.id, job.sheet_values):
            return "not_here"
        agreed = agreed or not (house.asks or job.answers or job.quoted)
        marks = _marks_done(sheet, job, deed.number)
    else:
        marks = frozenset({WRITTEN, CAN_CLOSE} if deed.ident in job.choices.ready_checks else ())
    return why_not(
        knowledge,
        deed,
        job.chambers(knowledge.device),
        marks=marks,
        sign=sign,
        clearing=clearing,
        approved=agreed,
        fill=fill,
    )


def require_way(
    knowledge: Knowledge,
    deed: Deed,
    job: JobState,
    *,
    sign: bool,
    clearing: Sequence[str] = (),
    fill: bool = True,
    house: House | None = None,
) -> None:
    """Refuse a deed that something else than its cautions forbids.

    Raises
    ------
    RefusedError : says what, and what to do first.
    """
    if job.closed is not None:
        raise RefusedError("the job is closed.", where=deed.ident, next_step="Open a new job.")
    reason = obstacle(knowledge, deed, job, sign=sign, clearing=clearing, fill=fill, house=house)
    if reason:
        raise refusal(knowledge, reason, deed)


def reason_words(knowledge: Knowledge, reason: str) -> tuple[str, str]:
    """What is said of an obstacle, and what to do next."""
    what, follow = REASONS[reason]
    return what, follow or knowledge.device.marks[reason].how


def refusal(knowledge: Knowledge, reason: str, deed: Deed) -> RefusedError:
    """The error that says why a deed is not done: a key of `REASONS`."""
    what, follow = reason_words(knowledge, reason)
    return RefusedError(what, where=deed.ident, next_step=follow)


def _marks_done(sheet: Sheet, job: JobState, number: int) -> frozenset[str]:
    """What the steps before this one achieved; nothing where one of them is not done."""
    done = {n for name, n in job.steps if name == sheet.id and n < number}
    before = {n for n in steps_of(sheet, job.shock) if n < number}
    return marks_of(sheet, done) if before <= done else frozenset()
