"""Order in the stage sheets and sense in the safety cards, sheet by sheet and card by card.

Rules
-----
- Every function yields all problems it finds and says how to mend them; nothing raises.
- A sheet is read as the list of marks and physical events of its steps; what the words of a step
  say is its author's affair and a reviewer's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from diagnose.errors import Problem
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Stage
from diagnose.symptom_graph.cautions import required_cautions
from diagnose.symptom_graph.proof import DEMANDS, KEYED
from diagnose.symptom_graph.routes import (
    CAN_CLOSE,
    DO_NOT_OPEN,
    PHYSICAL,
    WRITTEN,
    all_deeds,
    step_deed,
)

__all__ = ["ORDER", "sheet_problems"]

#: (earlier mark, later mark, why): where both stand on a sheet they stand in this order, and the
#: later one never without the earlier; common practice (no source)
ORDER: tuple[tuple[str, str, str], ...] = (
    (WRITTEN, CAN_CLOSE, "what it came in like is lost once hands are on it"),
    ("air_released", "air_proved_empty", "air is let out before it is proved gone"),
    ("air_proved_empty", "can_off", "that nothing hisses is no proof: a dead valve is silent too"),
    ("can_off", "charge_proved_empty", "only with the can off the shaft shows what is left"),
    ("charge_released", "charge_proved_empty", "a charge is let out before it is proved gone"),
    ("charge_proved_empty", "damper_open", "a port at zero is no proof"),
    ("damper_open", "ifp_out", "what it uncovers lies behind the oil"),
    ("charge_released", "charged", "a charge that was let out is restored"),
    ("charged", "charge_proved", "a charge that was restored is proved"),
    ("charge_proved", "air_filled", "the shaft shows the charge only while the can is off"),
    ("charge_proved", "leak_tested", "the can goes on over a charge that was proved"),
    ("can_off", "leak_tested", "what was closed is tried before it is built in"),
    ("leak_tested", "wheel_clear", "a leak is looked for before it goes on the bike"),
    ("wheel_clear", "air_filled", "the wheel is taken through its travel with the air out"),
    ("can_off", "air_filled", "what was opened is filled again"),
    ("air_filled", "proof_test", "the complaint's own test comes last"),
)

#: mark -> marks that a sheet with it must have as well, before or after it
_IMPLIES: dict[str, tuple[str, ...]] = {
    "air_released": ("air_proved_empty", "air_filled"),
    "can_off": ("leak_tested", "wheel_clear", "air_filled", "proof_test"),
    "charge_released": ("charge_proved_empty", "charged", "charge_proved"),
    "damper_open": ("charged", "charge_proved"),
    "ifp_out": ("charged", "charge_proved"),
    "air_filled": ("proof_test",),
}

#: mark -> values of the shock's own data sheet that its step asks for
_ASKS: dict[str, tuple[str, ...]] = {
    "air_filled": ("maximum_pressure",),
    "charged": ("charge_pressure", "charge_fitting"),
    "charge_released": ("charge_fitting",),
}

#: marks that are never reached without the ones before them
_BLIND = frozenset({"air_proved_empty", "can_off", "charge_proved_empty", "damper_open", CAN_CLOSE})

_CHARGE_SIDE = frozenset({"charge_released", "damper_open", "ifp_out", "charged"})
_LETS_OUT = frozenset({"vented", "opened"})
_NEVER_SAID = ("is safe", "it's safe", "safe to ride", "perfectly safe", "no danger", "no risk")


def sheet_problems(knowledge: Knowledge, lines: Lines | None = None) -> list[Problem]:
    """Everything that is wrong with the order of sheets, hazards, cautions and signs."""
    at = lines or Lines()
    return [problem for check in _CHECKS for problem in check(knowledge, at)]


def _marks(stage: Stage) -> dict[str, int]:
    """Mark -> number of the first step that achieves it."""
    found: dict[str, int] = {}
    for number, step in enumerate(stage.steps):
        for mark in step.marks:
            found.setdefault(mark, number)
    return found


def _in_order(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    for ident, stage in knowledge.stages.items():
        marks = _marks(stage)
        for earlier, later, why in ORDER:
            if earlier not in marks or later not in marks or marks[earlier] < marks[later]:
                continue
            what = f"'{later}' comes before '{earlier}': {why}."
            yield lines.problem("stages", ident, ("steps", marks[later]), what, "Move the step.")
        for mark, needed in _IMPLIES.items():
            for other in needed if mark in marks else ():
                if other not in marks:
                    what = f"a sheet with '{mark}' has no step '{other}'."
                    yield lines.problem("stages", ident, ("steps",), what, "Add the step.")
        # The earlier mark must be there at all where taking it out would make the later one blind.
        for earlier, later, why in ORDER:
            blind = later in _BLIND
            if blind and later in marks and earlier not in marks:
                what = f"'{later}' without '{earlier}': {why}."
                yield lines.problem("stages", ident, ("steps", marks[later]), what, "Add the step.")


def _opens_as_it_says(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Chambers that a stage opens, and the marks and events of its steps, say the same."""
    for ident, stage in knowledge.stages.items():
        marks = _marks(stage)
        first = next((n for n, step in enumerate(stage.steps) if _LETS_OUT & set(step.does)), None)

        def at(number: int | None, what: str, hint: str, ident: str = ident) -> Problem:
            path: tuple[str | int, ...] = ("steps",) if number is None else ("steps", number)
            return lines.problem("stages", ident, path, what, hint)

        for mark in (WRITTEN, CAN_CLOSE):
            if stage.opens and (first is None or marks.get(mark, first) >= first):
                yield at(first, f"it is opened before '{mark}'.", "Put that step first.")
        if stage.opens and WRITTEN not in marks:
            yield at(None, "nothing is written down before it is opened.", "Add the step.")
        if first is not None and not stage.opens:
            yield at(first, "a stage that opens nothing lets gas out.", "Correct 'opens'.")
        charge = _CHARGE_SIDE & marks.keys()
        if charge and "charge" not in stage.opens:
            yield at(
                marks[min(charge)],
                "the oil side is touched on a sheet that leaves it shut.",
                "Move the step to a sheet that opens it.",
            )
        for needed, mark in (("charge", "charge_released"), ("air", "can_off")):
            if needed in stage.opens and mark not in marks:
                yield at(None, f"it opens '{needed}' without a step '{mark}'.", "Add the step.")
        for number, step in enumerate(stage.steps):
            for mark in step.marks:
                for value in _ASKS.get(mark, ()):
                    if value not in step.asks_sheet:
                        yield at(
                            number,
                            f"'{mark}' does not ask the data sheet for '{value}'.",
                            "Add it to 'asks_sheet'.",
                        )


def _includes_hold(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A stage that includes an opening stage does at least what that one does."""
    for ident, stage in knowledge.stages.items():
        for name in stage.includes:
            inner = knowledge.stages[name]
            missing = sorted(_marks(inner).keys() - _marks(stage).keys()) if inner.opens else []
            # Replacing a unit includes a full service by its cure, not by its steps.
            for mark in missing if stage.opens else []:
                what = f"it includes '{name}' but has no step '{mark}'."
                yield lines.problem("stages", ident, ("steps",), what, "Add the step.")


def _hands_off(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """The sheet for a shock that is not opened does nothing to it, and says so first."""
    stage = knowledge.stages.get(DO_NOT_OPEN)
    if stage is None:
        yield lines.problem("stages", DO_NOT_OPEN, (), "there is no such sheet.", "Write it.")
        return
    for number, step in enumerate(stage.steps):
        if PHYSICAL & set(step.does) or set(step.marks) - {WRITTEN}:
            yield lines.problem(
                "stages",
                DO_NOT_OPEN,
                ("steps", number),
                "something is done to a shock that is not opened.",
                "Take it out.",
            )
    first = required_cautions(knowledge, step_deed(stage, 0).acts, {})
    if not any(card.signal_word == "DANGER" for card in first):
        yield lines.problem(
            "stages",
            DO_NOT_OPEN,
            ("steps", 0),
            "its first step has no DANGER caution.",
            "Say what is done: 'tagged'.",
        )


def _acts_meet(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Every hazard that an act demands names the act."""
    for act, hazards in DEMANDS.items():
        for ident in hazards:
            hazard = knowledge.hazards.get(ident)
            if hazard is None or act not in hazard.acts:
                what = f"'{act}' does not meet it."
                yield lines.problem("hazards", ident, ("acts",), what, "Add the act.")


def _hazards_speak(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Keyed hazards wait for a key, every caution stands before something, every hazard is met."""
    for ident in sorted(KEYED):
        hazard = knowledge.hazards.get(ident)
        if hazard is None or not hazard.acknowledge:
            yield lines.problem(
                "hazards",
                ident,
                (),
                "it does not wait for an acknowledgement.",
                "Set 'acknowledge: true'.",
            )
    used = {c for h in knowledge.hazards.values() for c in h.cautions}
    used |= {*(f.say for f in knowledge.floors if f.say is not None), *knowledge.pack.always}
    for ident in sorted(knowledge.cautions.keys() - used):
        yield lines.problem(
            "cautions", ident, (), "no hazard shows this caution.", "Name it in hazards.yaml."
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
    kinds = ("findings", "causes", "symptoms", "checks", "stages", "cautions", "hazards")
    for kind in kinds:
        for ident, card in getattr(knowledge, kind).items():
            # What customers say may well hold the word; the program does not.
            text = card.model_dump_json(exclude={"phrases", "typical", "near_miss"}).lower()
            for words in _NEVER_SAID:
                if words in text:
                    yield lines.problem(
                        kind,
                        ident,
                        (),
                        f"it says '{words}'.",
                        "Say what was looked at and what was found.",
                    )


_CHECKS: tuple[Callable[[Knowledge, Lines], Iterator[Problem]], ...] = (
    _in_order,
    _opens_as_it_says,
    _includes_hold,
    _hands_off,
    _acts_meet,
    _hazards_speak,
    _never_safe,
)
