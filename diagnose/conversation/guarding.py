"""The gate as the conversation meets it: what is shown before a deed, what a reply must pass.

Rules
-----
- A step behind the gate is never offered: its cautions are the prompt until they are acknowledged,
  with a key that differs from the last one pressed, and no way to skip them in a sheet.
- A caution stands whole the first time in a visit; again it stands with its first sentence. Who
  supervises reads it whole. A short one counts only for whoever read it whole in this visit.
- The gate is asked again when the reply comes in; a reply after a long break is not taken for a
  step that waits for cautions: they come again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from diagnose.conversation.prompts import READY, SUPERVISOR, Prompt
from diagnose.errors import RefusedError
from diagnose.job.events import (
    Acknowledged,
    Event,
    Happened,
    Read,
    Resumed,
)
from diagnose.job.gate import (
    Clearance,
    House,
    Roles,
    clearance,
    obstacle,
    refusal,
    require,
    require_way,
    supervisor,
)
from diagnose.job.state import JobState, fold, long_break
from diagnose.knowledge.device import Device
from diagnose.knowledge.models import Check
from diagnose.reasoning.chosen_sheet import sheet_in_hand
from diagnose.reasoning.floors import forbidding
from diagnose.reasoning.judgement import AnswerLine, CautionLine, caution_lines
from diagnose.reasoning.pricing import too_dear
from diagnose.reasoning.reasoner import Reasoner, View
from diagnose.symptom_graph.cautions import must_acknowledge
from diagnose.symptom_graph.routes import Deed, deed_of

__all__ = [
    "Desk",
    "admit",
    "before",
    "happenings",
    "held",
    "other_key",
    "read_whole",
    "ready",
    "same_state",
    "signed",
    "unread",
    "what_forbids",
]

#: keys of an acknowledgement: the second where the first was just pressed for something else
_ACKNOWLEDGE = ("7", "8")


@dataclass(frozen=True)
class Desk:
    """What a conversation rests on: the reasoner, who of the shop may do what, how it works."""

    reasoner: Reasoner
    roles: Roles
    house: House = field(default_factory=House)


def _clearing(view: View) -> list[str]:
    """Checks that may clear the standing signs."""
    return [check for sign in view.belief.signs for check in sign.lifts]


def _may_fill(view: View, deed: Deed) -> bool:
    """Nothing forbids filling: for a check nothing stands, for a sheet the bench has looked."""
    return all(
        deed.stage and standing.claim.by == "bench"
        for standing in forbidding(view.belief.floors, "fill")
    )


def what_forbids(desk: Desk, view: View, deed: Deed) -> str:
    """What forbids a deed besides its cautions: a key of `gate.REASONS`, or nothing."""
    reason = obstacle(
        desk.reasoner.knowledge,
        deed,
        view.job,
        sign=bool(view.belief.signs),
        clearing=_clearing(view),
        fill=_may_fill(view, deed),
        house=desk.house,
    )
    if not reason and deed.stage and too_dear(desk.reasoner, view, deed.stage) is not None:
        return "approval"
    return reason


# what is shown ---------------------------------------------------------------------------------


def held(desk: Desk, deed: Deed, job: JobState, person: str) -> Prompt | None:
    """What this person has to read or have signed before the deed, or None."""
    clear = clearance(desk.reasoner.knowledge, deed, job, person, desk.roles)
    if clear.waiting:
        return _caution(deed, clear)
    if clear.unsigned:
        return Prompt(
            "text",
            f"{SUPERVISOR}{deed.ident}",
            "Initials of the supervisor who read the cautions with you and stands beside?",
            cautions=tuple(caution_lines(clear.cautions)),  # whole: the supervisor reads them too
            acknowledge=clear.unsigned,
            commands=("back", "safety", "leave"),
        )
    return None


def before(desk: Desk, deed: Deed, job: JobState, person: str) -> tuple[CautionLine, ...]:
    """The cautions that stand before a deed for this person."""
    clear = clearance(desk.reasoner.knowledge, deed, job, person, desk.roles)
    return tuple(caution_lines(clear.cautions, clear.read))


def _caution(deed: Deed, clear: Clearance) -> Prompt:
    return Prompt(
        "caution",
        deed.ident,
        f"Before: {deed.name}",
        cautions=tuple(caution_lines(clear.cautions, clear.read)),
        acknowledge=clear.waiting,
        answers=(
            AnswerLine(key=_ACKNOWLEDGE[0], state="acknowledged", text="Read and understood"),
        ),
        # A check may be left out with its cautions; a sheet has no step to leave out.
        commands=("back", *(() if deed.stage else ("skip",)), "safety", "leave"),
    )


def other_key(prompt: Prompt, last_key: str) -> Prompt:
    """The prompt under another key where the one just pressed would acknowledge it."""
    if prompt.kind != "caution" or last_key != prompt.answers[0].key:
        return prompt
    answer = prompt.answers[0].model_copy(update={"key": _ACKNOWLEDGE[1]})
    return replace(prompt, answers=(answer,))


def ready(card: Check) -> Prompt:
    """Asked before a check that opens something, as the sheets ask it before theirs."""
    return Prompt(
        "question",
        f"{READY}{card.id}",
        f"{card.name} opens the shock. Is written down how it came in, and can we close it "
        "again today (sheet, seals, tools, time)?",
        answers=(
            AnswerLine(key="1", state="ready", text="Yes, both"),
            AnswerLine(key="2", state="not_ready", text="No, leave this check out"),
        ),
        commands=("not_sure", "back", "safety", "leave"),
    )


# what a reply must pass ------------------------------------------------------------------------


def admit(desk: Desk, events: Sequence[Event], deed: Deed, time: str, person: str) -> list[Event]:
    """Refuse a deed, or say what comes before it: resuming, after a long break.

    Raises
    ------
    RefusedError : cautions, initials, a sign, approval or order stand in the way.
    """
    job, knowledge = fold(events), desk.reasoner.knowledge
    keyed = must_acknowledge(knowledge, deed.acts, job.chambers(knowledge.device))
    if keyed and long_break(job.time, time):
        return [Resumed(time=time, person=person)]
    require(knowledge, deed, job, person, desk.roles)
    if deed.effects or deed.stage:
        in_hand = sheet_in_hand(desk.reasoner, job)
        if in_hand is not None and deed.stage != in_hand.id:
            raise RefusedError(
                f"the sheet '{in_hand.name}' is in hand.",
                where=deed.ident,
                next_step="Go through it to its end first.",
            )
        view = desk.reasoner.view(job)
        require_way(
            knowledge,
            deed,
            job,
            sign=bool(view.belief.signs),
            clearing=_clearing(view),
            fill=_may_fill(view, deed),
            house=desk.house,
        )
        if deed.stage and too_dear(desk.reasoner, view, deed.stage) is not None:
            raise refusal(knowledge, "approval", deed)
    return []


def unread(events: Sequence[Event], prompt: Prompt, time: str, person: str) -> list[Event]:
    """What comes first where cautions stood short to somebody who has not read them whole in this
    visit: resuming, after a long break.

    Raises
    ------
    RefusedError : another person's screen; they have to be shown again.
    """
    short = {(person, line.id) for line in prompt.cautions if line.again}
    job = fold(events)
    if short and long_break(job.time, time):
        return [Resumed(time=time, person=person)]
    if short - job.read:
        raise RefusedError(
            "these cautions stood short, and were not read whole in this visit.",
            where=prompt.id,
            next_step="Read them as they are now.",
        )
    return []


def read_whole(events: Sequence[Event], prompt: Prompt, time: str, person: str) -> list[Event]:
    """That the whole cautions of a prompt were read, as its reply adds it."""
    known = fold(events).read
    whole = [c.id for c in prompt.cautions if not c.again and (person, c.id) not in known]
    return [Read(cautions=whole, time=time, person=person)] if whole else []


def same_state(desk: Desk, events: Sequence[Event], prompt: Prompt, person: str) -> None:
    """Refuse a key for cautions that were shown in another state of the shock.

    Raises
    ------
    RefusedError : the cautions have to be shown again.
    """
    deed = deed_of(desk.reasoner.knowledge, prompt.id)
    assert deed is not None
    clear = clearance(desk.reasoner.knowledge, deed, fold(events), person, desk.roles)
    if list(prompt.cautions) != caution_lines(clear.cautions, clear.read) or (
        set(prompt.acknowledge) != set(clear.waiting)
    ):
        raise RefusedError(
            "these cautions were shown before something changed.",
            where=prompt.id,
            next_step="Read them as they are now.",
        )


def signed(
    desk: Desk, events: Sequence[Event], prompt: Prompt, initials: str, time: str, person: str
) -> list[Event]:
    """The apprentice's acknowledgement again, with the second name on it.

    Raises
    ------
    InputError : not somebody who may supervise this.
    """
    deed = deed_of(desk.reasoner.knowledge, prompt.id.removeprefix(SUPERVISOR))
    assert deed is not None
    clear = clearance(desk.reasoner.knowledge, deed, fold(events), person, desk.roles)
    name = supervisor(desk.roles, clear.right, initials)
    return [
        Acknowledged(
            hazards=list(clear.unsigned),
            step=deed.ident,
            supervisor=name,
            time=time,
            person=person,
        )
    ]


def happenings(device: Device, deed: Deed, time: str, person: str) -> list[Event]:
    """What a done deed did to the shock, as events."""
    return [
        Happened(
            what=name, step=deed.ident, gentle=device.is_gentle(name), time=time, person=person
        )
        for name in deed.effects
        if name in device.kept
    ]
