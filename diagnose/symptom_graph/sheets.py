"""Order in the sheets and sense in the safety cards, sheet by sheet and card by card.

Rules
-----
- Every function yields all problems it finds and says how to mend them; nothing raises.
- A sheet is read as the list of marks and physical events of its steps, once for each kind of
  device that its steps tell apart; what the words of a step say is its author's affair and a
  reviewer's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial

from diagnose.errors import Problem
from diagnose.knowledge.device import CAN_CLOSE, WRITTEN
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Sheet
from diagnose.symptom_graph.cautions import required_cautions
from diagnose.symptom_graph.routes import all_deeds, step_deed
from diagnose.symptom_graph.variants import marks_of, steps_of, variants, with_or_without

__all__ = ["sheet_problems", "unused_cautions", "used_cautions"]

_NEVER_SAID = ("is safe", "it's safe", "safe to ride", "perfectly safe", "no danger", "no risk")


def sheet_problems(knowledge: Knowledge, lines: Lines | None = None) -> list[Problem]:
    """Everything that is wrong with the order of sheets, hazards, cautions and signs."""
    at = lines or Lines()
    return list(dict.fromkeys(problem for check in _CHECKS for problem in check(knowledge, at)))


def used_cautions(knowledge: Knowledge) -> set[str]:
    """Cautions that a pack shows: before a deed, before any question, or with the start line."""
    shown = {caution for hazard in knowledge.hazards.values() for caution in hazard.cautions}
    first = {floor.say for floor in knowledge.floors if floor.say is not None}
    return shown | first | {*knowledge.pack.always}


def unused_cautions(packs: Iterable[Knowledge], lines: Lines) -> list[Problem]:
    """Cautions that no pack shows: the packs share them, so one that uses it is enough."""
    used: set[str] = set()
    known: set[str] = set()
    for knowledge in packs:
        known |= knowledge.cautions.keys()
        used |= used_cautions(knowledge)
    what, hint = "no hazard of any pack shows this caution.", "Name it in a hazards.yaml."
    return [lines.problem("cautions", ident, (), what, hint) for ident in sorted(known - used)]


def _marks(sheet: Sheet, numbers: Sequence[int]) -> dict[str, int]:
    """Mark -> number of the first of these steps that achieves it."""
    found: dict[str, int] = {}
    for number in numbers:
        for mark in sheet.steps[number].marks:
            found.setdefault(mark, number)
    return found


def _sheets(knowledge: Knowledge) -> Iterator[tuple[Sheet, tuple[int, ...]]]:
    """Every sheet as each kind of device meets it, and the numbers of its steps."""
    for sheet in knowledge.sheets.values():
        for shock in variants(sheet):
            yield sheet, steps_of(sheet, shock)


def _at(
    knowledge: Knowledge, lines: Lines, sheet: Sheet, number: int | None, what: str, hint: str
) -> Problem:
    """A problem at a step of a sheet, or at its steps as a whole."""
    path: tuple[str | int, ...] = ("steps",) if number is None else ("steps", number)
    return lines.problem(knowledge.sheet_kind(sheet.id), sheet.id, path, what, hint)


def _in_order(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    device = knowledge.device
    order = [(row.first, row.then, row.why) for row in device.order]
    for sheet, numbers in _sheets(knowledge):
        marks = _marks(sheet, numbers)
        for earlier, later, why in order:
            if earlier not in marks or later not in marks or marks[earlier] < marks[later]:
                continue
            what = f"'{later}' comes before '{earlier}': {why}."
            yield _at(knowledge, lines, sheet, marks[later], what, "Move the step.")
        for mark in [mark for mark in marks if mark in device.marks]:
            for other in device.marks[mark].implies:
                if other not in marks:
                    what = f"a sheet with '{mark}' has no step '{other}'."
                    yield _at(knowledge, lines, sheet, None, what, "Add the step.")
        # The earlier mark must be there at all where taking it out would make the later one blind.
        for earlier, later, why in order:
            blind = device.marks[later].blind
            if blind and later in marks and earlier not in marks:
                what = f"'{later}' without '{earlier}': {why}."
                yield _at(knowledge, lines, sheet, marks[later], what, "Add the step.")


def _every_kind(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """What a sheet achieves, it achieves for every kind of device."""
    for ident, stage in knowledge.stages.items():
        marks = _marks(stage, range(len(stage.steps)))
        for shock in variants(stage):
            kind = ", ".join(with_or_without(knowledge.device, *row) for row in shock.items())
            for mark in sorted(marks.keys() - marks_of(stage, steps_of(stage, shock))):
                what = f"'{mark}' is not reached {kind}."
                hint = "Say there, too, how it is done."
                yield lines.problem("stages", ident, ("steps", marks[mark]), what, hint)


def _opens_as_it_says(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Chambers that a sheet opens, and the marks and events of its steps, say the same."""
    device = knowledge.device
    for sheet, numbers in _sheets(knowledge):
        marks = _marks(sheet, numbers)
        lets_out = (n for n in numbers if device.letting_out & set(sheet.steps[n].does))
        first = next(lets_out, None)

        at = partial(_at, knowledge, lines, sheet)
        for mark in (WRITTEN, CAN_CLOSE):
            if first is not None and marks.get(mark, first) >= first:
                yield at(first, f"something is let out before '{mark}'.", "Put that step first.")
        if first is not None and WRITTEN not in marks:
            yield at(None, "nothing is written down before it is opened.", "Add the step.")
        if sheet.opens and first is None:
            yield at(None, "it opens something and lets nothing out.", "Correct 'opens'.")
        for number in numbers:
            if device.opening & set(sheet.steps[number].does) and not sheet.opens:
                yield at(number, "a sheet that opens nothing is opened here.", "Correct 'opens'.")
        inside = {m: device.marks[m].inside for m in sorted(marks.keys() & device.marks.keys())}
        for mark, within in inside.items():
            if within is not None and within not in sheet.opens:
                yield at(
                    marks[mark],
                    f"'{mark}' is done inside '{within}', which this sheet leaves shut.",
                    "Move the step to a sheet that opens it.",
                )
        for chamber in device.chambers:
            needed = chamber.sheet_mark
            if chamber.id in sheet.opens and needed is not None and needed not in marks:
                what = f"it opens '{chamber.id}' without a step '{needed}'."
                yield at(None, what, "Add the step.")
        for number in numbers:
            step = sheet.steps[number]
            for mark in step.marks:
                for value in device.marks[mark].asks if mark in device.marks else ():
                    if value not in step.asks_sheet:
                        yield at(
                            number,
                            f"'{mark}' does not ask the data sheet for '{value}'.",
                            "Add it to 'asks_sheet'.",
                        )


def _includes_hold(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A sheet that includes an opening stage does at least what that one does."""
    for sheet, numbers in _sheets(knowledge):
        for name in sheet.includes:
            inner = knowledge.stages[name]
            wanted = marks_of(inner, range(len(inner.steps))) if inner.opens else frozenset()
            missing = sorted(wanted - marks_of(sheet, numbers))
            # Replacing a unit includes a full service by its cure, not by its steps.
            for mark in missing if sheet.opens else []:
                what = f"it includes '{name}' but has no step '{mark}'."
                yield _at(knowledge, lines, sheet, None, what, "Add the step.")


def _hands_off(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """The sheet for a shock that is not opened does nothing to it, and says so first."""
    device = knowledge.device
    shut = device.stages.shut
    stage = knowledge.stages[shut]
    for number, step in enumerate(stage.steps):
        if device.events.keys() & set(step.does) or set(step.marks) - {WRITTEN}:
            yield lines.problem(
                "stages",
                shut,
                ("steps", number),
                "something is done to a shock that is not opened.",
                "Take it out.",
            )
    first = required_cautions(knowledge, step_deed(knowledge, stage, 0).acts, {})
    if not any(card.signal_word == "DANGER" for card in first):
        yield lines.problem(
            "stages",
            shut,
            ("steps", 0),
            "its first step has no DANGER caution.",
            "Say in 'does' that it is set apart.",
        )


def _acts_meet(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Every hazard that an act demands names the act."""
    for act, hazards in knowledge.device.demands.items():
        for ident in hazards:
            hazard = knowledge.hazards.get(ident)
            if hazard is None or act not in hazard.acts:
                what = f"'{act}' does not meet it."
                yield lines.problem("hazards", ident, ("acts",), what, "Add the act.")


def _hazards_speak(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Keyed hazards wait for a key, and every hazard is met."""
    for ident in sorted(knowledge.device.keyed):
        hazard = knowledge.hazards.get(ident)
        if hazard is None or not hazard.acknowledge:
            yield lines.problem(
                "hazards",
                ident,
                (),
                "it does not wait for an acknowledgement.",
                "Set 'acknowledge: true'.",
            )
    done = {act for deed in all_deeds(knowledge) for act in deed.acts}
    for ident, hazard in sorted(knowledge.hazards.items()):
        if not done & set(hazard.acts):
            yield lines.problem(
                "hazards",
                ident,
                (),
                "no check and no step meets this hazard.",
                "Say on the card what is done, or take the hazard out.",
            )


def _never_safe(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """No text promises that something is safe."""
    kinds = ("findings", "causes", "symptoms", "checks", "sheets", "cautions", "hazards")
    for kind in kinds:
        for ident, card in getattr(knowledge, kind).items():
            # What customers say may well hold the word; the program does not.
            text = card.model_dump_json(exclude={"phrases", "typical", "near_miss"}).lower()
            for words in _NEVER_SAID:
                if words in text:
                    yield lines.problem(
                        knowledge.sheet_kind(ident) if kind == "sheets" else kind,
                        ident,
                        (),
                        f"it says '{words}'.",
                        "Say what was looked at and what was found.",
                    )


_CHECKS: tuple[Callable[[Knowledge, Lines], Iterator[Problem]], ...] = (
    _in_order,
    _every_kind,
    _opens_as_it_says,
    _includes_hold,
    _hands_off,
    _acts_meet,
    _hazards_speak,
    _never_safe,
)
