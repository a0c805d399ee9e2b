"""What may follow what on a shock: deeds, what they do to its chambers, and what holds them back.

Rules
-----
- The gate of a running job and the proof over all jobs both ask the functions of this file, so
  that the proof is about the program and not about a drawing of it.
- A deed is a check or one step of a sheet. Its acts are all that is done; its effects are
  those of them that change the shock or prove something: physical events and marks.
- Every chamber may hold pressure unless an effect proved the opposite; that nothing hisses any
  more proves nothing of the air, and a port at zero proves nothing of the charge.
- Any physical event ends every acknowledgement: it was given for another state of the shock.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.knowledge.device import CAN_CLOSE, WRITTEN
from diagnose.knowledge.loader import Knowledge
from diagnose.knowledge.models import Caution, Check, Frame, Sheet
from diagnose.symptom_graph.cautions import hazards_met, required_cautions
from diagnose.symptom_graph.variants import Shock, steps_of

__all__ = [
    "Deed",
    "acts_of",
    "all_deeds",
    "check_deed",
    "clearing_of",
    "deed_of",
    "frame_deed",
    "keys_after",
    "may_be_trapped",
    "needs_approval",
    "needs_ready",
    "points_to",
    "sheet_cautions",
    "sheet_hazards",
    "signs_of",
    "step_deed",
    "why_not",
]


@dataclass(frozen=True)
class Deed:
    """One thing that a person does to a shock.

    ``ident``: check id, or ``step:SHEET:NUMBER``. ``acts``: what is done, in order, then marks.
    ``effects``: those of them that change the shock or prove something of it. ``stage``: the sheet,
    of a stage or small job, that it stands on, empty for a check. ``observes``: finding of a check.
    """

    ident: str
    name: str
    acts: tuple[str, ...]
    effects: tuple[str, ...]
    at: str = "bench"
    stage: str = ""
    number: int = 0
    observes: str = ""


def check_deed(knowledge: Knowledge, check: Check) -> Deed:
    """A check as a deed."""
    return Deed(
        check.id,
        check.name,
        tuple(check.does),
        knowledge.device.effects(check.does),
        at=check.at,
        observes=check.observes,
    )


def step_deed(knowledge: Knowledge, sheet: Sheet, number: int) -> Deed:
    """One step of a sheet as a deed."""
    step = sheet.steps[number]
    acts = (*step.does, *step.marks)
    return Deed(
        f"step:{sheet.id}:{number}",
        f"{sheet.name}, step {number + 1}",
        acts,
        knowledge.device.effects(acts),
        stage=sheet.id,
        number=number,
    )


def acts_of(knowledge: Knowledge, frame: Frame) -> tuple[str, ...]:
    """All that the looks of a frame question do; nothing for a question to the customer."""
    looks = (knowledge.checks[row.ask] for row in frame.rows if row.ask in knowledge.checks)
    return tuple(dict.fromkeys(act for look in looks for act in look.does))


def frame_deed(knowledge: Knowledge, frame: Frame) -> Deed:
    """The looks of a frame question as one deed."""
    acts = acts_of(knowledge, frame)
    return Deed(frame.id, frame.name, acts, knowledge.device.effects(acts), at="counter")


def deed_of(knowledge: Knowledge, ident: str) -> Deed | None:
    """The deed with this id; None for a question, which touches nothing."""
    if ident.startswith("step:"):
        _, sheet, number = ident.split(":")
        return step_deed(knowledge, knowledge.sheets[sheet], int(number))
    if ident in knowledge.frames:
        deed = frame_deed(knowledge, knowledge.frames[ident])
        return deed if deed.acts else None
    check = knowledge.checks.get(ident)
    return None if check is None else check_deed(knowledge, check)


def points_to(knowledge: Knowledge, ident: str) -> list[str]:
    """Parts of the drawing that a deed is about: a check, a look of several, a step of a sheet."""
    deed = deed_of(knowledge, ident)
    if deed is not None and deed.stage:
        return knowledge.sheets[deed.stage].steps[deed.number].points_to
    frame = knowledge.frames.get(ident)
    cards = [row.ask for row in frame.rows] if frame else [ident]
    return [part for card in cards for part in knowledge.points_to(card)]


def all_deeds(knowledge: Knowledge) -> list[Deed]:
    """Every check, the looks of every frame question, and every step of every sheet."""
    steps = [
        step_deed(knowledge, sheet, number)
        for sheet in knowledge.sheets.values()
        for number in range(len(sheet.steps))
    ]
    frames = [frame_deed(knowledge, frame) for frame in knowledge.frames.values()]
    checks = [check_deed(knowledge, check) for check in knowledge.checks.values()]
    return [*checks, *(deed for deed in frames if deed.acts), *steps]


def sheet_hazards(knowledge: Knowledge, sheet: Sheet, chambers: Mapping[str, bool]) -> list[str]:
    """Hazards that the steps of a sheet meet, gone through from this state of the chambers."""
    acts = [act for step in sheet.steps for act in (*step.does, *step.marks)]
    return hazards_met(knowledge, acts, chambers)


def sheet_cautions(
    knowledge: Knowledge, sheet: Sheet, shock: Shock
) -> list[tuple[int, list[Caution]]]:
    """Number of each step that a shock has, and the cautions before it.

    A sheet is gone through in its order: what its steps proved of the chambers counts for the later
    ones. Nothing is proved before the first.
    """
    found, chambers = [], knowledge.device.all_full()
    for number in steps_of(sheet, shock):
        acts = step_deed(knowledge, sheet, number).acts
        found.append((number, required_cautions(knowledge, acts, chambers)))
        for act in acts:
            chambers = knowledge.device.after(chambers, act)
    return found


def keys_after(keys: frozenset[tuple[str, str]], what: str) -> frozenset[tuple[str, str]]:
    """Acknowledgements (person, hazard) that outlive the physical event ``what``: none."""
    return frozenset()


def needs_ready(knowledge: Knowledge, deed: Deed) -> bool:
    """Waits until the as-found data are written down and it can be closed again today."""
    device = knowledge.device
    return bool((device.letting_out if deed.stage else device.opening) & set(deed.effects))


def needs_approval(knowledge: Knowledge, deed: Deed) -> bool:
    """Part of a sheet that lets something out: the customer agrees before its first step."""
    return bool(deed.stage) and knowledge.lets_out(knowledge.sheets[deed.stage])


def why_not(
    knowledge: Knowledge,
    deed: Deed,
    chambers: Mapping[str, bool],
    *,
    marks: Iterable[str],
    sign: bool,
    clearing: Iterable[str],
    approved: bool,
    fill: bool = True,
) -> str:
    """What forbids a deed besides its own cautions, or nothing.

    Parameters
    ----------
    chambers : chamber -> may hold pressure. marks : achieved so far. sign : a sign of trapped gas
    stands; clearing : checks that may clear it. approved : the customer agreed to the stage.
    fill : nothing forbids filling.

    Returns
    -------
    One of ``sign``, ``damage``, ``approval``, ``written_down``, ``can_close_again``, or an empty
    text.
    """
    if sign and _touches_trapped(knowledge, deed, chambers) and deed.ident not in set(clearing):
        return "sign"
    if not fill and _fills(knowledge, deed):
        return "damage"
    if needs_approval(knowledge, deed) and not approved:
        return "approval"
    if needs_ready(knowledge, deed):
        missing = [mark for mark in (WRITTEN, CAN_CLOSE) if mark not in set(marks)]
        return missing[0] if missing else ""
    return ""


def signs_of(knowledge: Knowledge) -> set[str]:
    """Findings that forbid opening: signs of trapped gas."""
    return {floor.finding for floor in knowledge.floors if "open" in floor.forbids}


def clearing_of(knowledge: Knowledge) -> set[str]:
    """Checks that may clear a sign of trapped gas."""
    return {c for floor in knowledge.floors if "open" in floor.forbids
            for c in floor.lifted_by or ()}  # fmt: skip


def may_be_trapped(knowledge: Knowledge, chambers: Mapping[str, bool]) -> bool:
    """A chamber that a sign of trapped gas is about was not proved empty yet."""
    return any(chambers.get(chamber, True) for chamber in knowledge.device.trapping)


def _fills(knowledge: Knowledge, deed: Deed) -> bool:
    """It puts gas into the shock that came in, or begins a sheet that will."""
    fills = knowledge.device.filling
    if not deed.stage:
        return bool(fills & set(deed.effects))
    filled = any(fills & set(step.does) for step in knowledge.sheets[deed.stage].steps)
    return filled and deed.number == 0 and not knowledge.goes_out(deed.stage)


def _touches_trapped(knowledge: Knowledge, deed: Deed, chambers: Mapping[str, bool]) -> bool:
    """It does something to a shock, or puts hands where gas that is trapped in it would act."""
    device = knowledge.device
    if deed.stage == device.stages.shut or not may_be_trapped(knowledge, chambers):
        return False
    # To read at the bench what the sign is about lets nothing out: it tells flat from trapped.
    if deed.at == "bench" and not deed.effects and deed.observes in signs_of(knowledge):
        return False
    near = hazards_met(knowledge, deed.acts, chambers)
    return bool(device.events.keys() & set(deed.effects)) or any(
        device.trapping & set(knowledge.hazards[hazard].chambers) for hazard in near
    )
