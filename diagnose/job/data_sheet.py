"""The shop's own data sheet of one model of shock: which values it may hold, and what a job has.

Rules
-----
- A value of the sheet is copied into the job when the sheet is put to it, so that an old job keeps
  what it was judged by; the file may change afterwards.
- A value that is missing stays missing: papers show a blank, nothing is invented.
- A field of a job that is a value of the sheet has its name, with or without the unit at its end.
- Numbers lie in the unit that ends the field's name; words stand as they were written.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.bench import units
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.bench.typed import read
from diagnose.errors import InputError
from diagnose.knowledge.device import SheetValues
from diagnose.nearest import nearest

__all__ = [
    "asked",
    "asked_words",
    "numbers_of",
    "read_value",
    "values_in",
    "values_of",
    "with_unit",
]


def values_in(sheet: SheetValues) -> dict[str, str]:
    """Every value that a sheet may hold, with its words."""
    numbers = {name: SHEET_FIELDS[name].text for name in sheet.numbers}
    return numbers | sheet.words | sheet.flags


def read_value(name: str, text: str, sheet: SheetValues) -> float | str:
    """A typed value of one field: a number in the field's unit, or words; of a flag yes or no.

    Raises
    ------
    InputError : no such field, or not a value of it (a pressure or torque without its unit).

    >>> held = SheetValues(numbers=["charge_psi"], words={"charge_fitting": "charge fitting"})
    >>> read_value("charge_psi", "17.2 bar", held)
    249.46
    >>> read_value("charge_fitting", "needle, 2 mm", held)
    'needle, 2 mm'
    """
    if name in sheet.words:
        words = " ".join(text.split())
        if not 0 < len(words) <= 200:
            raise InputError("a value of 1 to 200 characters is wanted.", where=name)
        return words
    if name in sheet.flags:
        word = {"true": "yes", "false": "no"}.get(text.strip().lower(), text.strip().lower())
        if word not in ("yes", "no"):
            raise InputError(f"'{text[:20]}' is neither yes nor no.", where=name)
        return word
    if name not in sheet.numbers:
        hint = nearest(name, values_in(sheet))
        raise InputError(f"'{name}' is no field of a data sheet.", next_step=hint)
    spec = SHEET_FIELDS[name]
    return round(units.to_unit(read(text, spec.kind, where=name).value, spec.unit), 2)


def values_of(shock: Mapping[str, Any], sheet: Mapping[str, float | str]) -> dict[str, float | str]:
    """What is known by the names of a data sheet: the job's own fields before the sheet's.

    >>> values_of({"set_pressure": 165.0, "stroke_mm": 50.0}, {"stroke_mm": 55.0})
    {'stroke_mm': 50.0, 'set_pressure_psi': 165.0}
    """
    known = dict(sheet)
    for field, spec in SHEET_FIELDS.items():
        value = shock.get(field, shock.get(field.removesuffix(f"_{spec.unit}")))
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            known[field] = float(value)
    return known


def numbers_of(shock: Mapping[str, Any], sheet: Mapping[str, float | str]) -> dict[str, float]:
    """The numbers among `values_of`, for computing."""
    return {
        name: float(value)
        for name, value in values_of(shock, sheet).items()
        if name in SHEET_FIELDS and isinstance(value, (int, float))
    }


def asked(ask: str, known: Mapping[str, float | str], sheet: SheetValues) -> str:
    """What `values_of` a job answer to a stage sheet's question; empty where they are silent.

    >>> held = SheetValues(numbers=["charge_psi"], asks={"charge_pressure": ["charge_psi"]})
    >>> asked("charge_pressure", {"charge_psi": 250.0}, held)
    '250 psi'
    >>> asked("charge_pressure", {}, held)
    ''
    """
    parts = [with_unit(name, known[name]) for name in sheet.asks.get(ask, [ask]) if name in known]
    datum = sheet.datum.get(ask)
    if datum is not None and parts and datum not in known:
        parts.append("measured from: ______")
    return ", ".join(parts)


def asked_words(ask: str, sheet: SheetValues) -> str:
    """What a stage sheet asks for, in words.

    >>> held = SheetValues(words={"can_torque": "torque of the can"})
    >>> asked_words("can_torque", held), asked_words("bolt_torque", held)
    ('torque of the can', 'bolt torque')
    """
    return values_in(sheet).get(sheet.asks.get(ask, [ask])[0], ask.replace("_", " "))


def with_unit(name: str, value: object) -> str:
    """A value of a field as it is written: a bare number gets the field's unit."""
    spec = SHEET_FIELDS.get(name)
    if spec and isinstance(value, (int, float)) and not isinstance(value, bool):
        return f"{value:g} {spec.unit}"
    return str(value)
