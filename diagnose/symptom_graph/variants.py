"""One sheet for every kind of device: which of its steps the one in hand has.

Rules
-----
- A step with ``applies_when`` belongs to some devices only. Its number stays where it is left out.
- Known and not met: it is left out. Nobody knows: it stays, and says what it is for.
- What holds of a sheet must hold for each kind of device, and for one of which nothing is known.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import product

from diagnose.knowledge.device import Device
from diagnose.knowledge.models import Sheet, Step

__all__ = ["Shock", "marks_of", "said_of", "steps_of", "unknown_of", "variants", "with_or_without"]

#: features that are known, each with whether the device has it; a job's fields serve as well
Shock = Mapping[str, object]


def steps_of(sheet: Sheet, shock: Shock) -> tuple[int, ...]:
    """Numbers of the steps that are gone through with this device, as far as it is known."""
    return tuple(
        number
        for number, step in enumerate(sheet.steps)
        if all(shock.get(name, wanted) == wanted for name, wanted in step.applies_when.items())
    )


def marks_of(sheet: Sheet, numbers: Iterable[int]) -> frozenset[str]:
    """What these steps of a sheet achieve."""
    return frozenset(mark for number in numbers for mark in sheet.steps[number].marks)


def unknown_of(step: Step, shock: Shock) -> dict[str, bool]:
    """Features on which the step depends and that nobody knows -> with or without."""
    return {name: wanted for name, wanted in step.applies_when.items() if name not in shock}


def with_or_without(device: Device, feature: str, has: bool) -> str:
    """A feature in words."""
    return f"{'with' if has else 'without'} {device.fields[feature].says}"


def said_of(device: Device, step: Step, shock: Shock) -> str:
    """The words of a step; what it is for comes first where nobody knows whether it applies."""
    unknown = unknown_of(step, shock)
    kinds = [with_or_without(device, name, wanted) for name, wanted in unknown.items()]
    return f"{', '.join(kinds).capitalize()}: {step.do}" if kinds else step.do


def variants(sheet: Sheet) -> list[dict[str, bool]]:
    """Every kind of device that the steps of a sheet tell apart: each feature known, or not."""
    names = sorted({name for step in sheet.steps for name in step.applies_when})
    return [
        {name: known for name, known in zip(names, row, strict=True) if known is not None}
        for row in product((None, True, False), repeat=len(names))
    ]
