"""Order in the stage sheets and sense in the safety cards, sheet by sheet and card by card.

Rules
-----
- Every function yields all problems it finds and says how to mend them; nothing raises.
- A sheet is read as the list of marks and physical events of its steps; what the words of a step
  say is its author's affair and a reviewer's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from diagnose.errors import Problem
from diagnose.knowledge.loader import Knowledge, Lines
from diagnose.knowledge.models import Stage
from diagnose.symptom_graph.proof import DEMANDS, KEYED
from diagnose.symptom_graph.routes import CAN_CLOSE, DO_NOT_OPEN, PHYSICAL, WRITTEN

__all__ = ["ORDER", "sheet_problems"]

#: (earlier mark, later mark, why): where both stand on a sheet they stand in this order, and the
#: later one never without the earlier; common practice (no source)
ORDER: tuple[tuple[str, str, str], ...] = (
    (WRITTEN, CAN_CLOSE, "what it came in like is lost once hands are on it"),
    ("air_released", "can_off", "an air spring under pressure drives the can off"),
    ("can_off", "charge_proved_empty", "only with the can off the shaft shows what is left"),
    ("charge_released", "charge_proved_empty", "a charge is let out before it is proved gone"),
    ("charge_proved_empty", "damper_open", "a port at zero is no proof"),
    ("damper_open", "ifp_out", "what it uncovers lies behind the oil"),
    ("charge_released", "charged", "a charge that was let out is restored"),
    ("charged", "charge_proved", "a charge that was restored is proved"),
    ("charge_proved", "air_filled", "the shaft shows the charge only while the can is off"),
    ("can_off", "air_filled", "what was opened is filled again"),
    ("air_filled", "proof_test", "the complaint's own test comes last"),
)

#: mark -> marks that a sheet with it must have as well, before or after it
_IMPLIES: dict[str, tuple[str, ...]] = {
    "air_released": ("air_filled",),
    "can_off": ("air_filled", "proof_test"),
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

_CHARGE_SIDE = frozenset({"charge_released", "damper_open", "ifp_out", "charged"})
_LETS_OUT = frozenset({"vented", "opened"})
_NEVER_SAID = ("is safe", "it's safe", "safe to ride", "perfectly safe", "no danger", "no risk")

#: folder, id, place in the card, hazards, physical events, marks
_Carrier = tuple[str, str, tuple[str | int, ...], Sequence[str], Sequence[str], Sequence[str]]


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
            blind = later in ("can_off", "charge_proved_empty", "damper_open", CAN_CLOSE)
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
    first = {c for h in stage.steps[0].hazards for c in knowledge.hazards[h].cautions}
    if not any(knowledge.cautions[c].signal_word == "DANGER" for c in first):
        yield lines.problem(
            "stages",
            DO_NOT_OPEN,
            ("steps", 0),
            "its first step has no DANGER caution.",
            "Name the hazard.",
        )


def _cards_carry(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """A card that does something names the hazards that its deed demands."""
    cards: list[_Carrier] = [
        ("checks", c.id, (), c.hazards, tuple(c.does), ()) for c in knowledge.checks.values()
    ]
    cards += [
        ("stages", stage.id, ("steps", n), step.hazards, tuple(step.does), step.marks)
        for stage in knowledge.stages.values()
        for n, step in enumerate(stage.steps)
    ]
    for kind, ident, path, hazards, does, marks in cards:
        # By then the can is off or new: what it demanded was paid by the steps before.
        later = {"charge_released", "damper_open", "ifp_out", "charged"} & set(marks)
        for effect in (*(() if later else does), *marks):
            for hazard in DEMANDS.get(effect, ()):
                if hazard not in hazards:
                    yield lines.problem(
                        kind,
                        ident,
                        path,
                        f"'{effect}' without hazard '{hazard}'.",
                        "Name the hazard on the card.",
                    )
    for check in knowledge.checks.values():
        if check.loaded and "structural_failure" not in check.hazards:
            yield lines.problem(
                "checks",
                check.id,
                (),
                "it loads the shock without hazard 'structural_failure'.",
                "Name the hazard on the card.",
            )


def _hazards_speak(knowledge: Knowledge, lines: Lines) -> Iterator[Problem]:
    """Keyed hazards wait for a key, every caution stands before something."""
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
    used |= set(knowledge.pack.first_words.values())
    for ident in sorted(knowledge.cautions.keys() - used):
        yield lines.problem(
            "cautions", ident, (), "no hazard shows this caution.", "Name it in hazards.yaml."
        )
    worn = {h for c in knowledge.checks.values() for h in c.hazards}
    worn |= {h for s in knowledge.stages.values() for step in s.steps for h in step.hazards}
    for ident in sorted(knowledge.hazards.keys() - worn):
        yield lines.problem(
            "hazards",
            ident,
            (),
            "no check and no step carries this hazard.",
            "Name it where it belongs.",
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
    _cards_carry,
    _hazards_speak,
    _never_safe,
)
