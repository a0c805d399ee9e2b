"""The shop's own data sheet of one model of shock: which values it may hold, and what a job has.

Rules
-----
- A value of the sheet is copied into the job when the sheet is put to it, so that an old job keeps
  what it was judged by; the file may change afterwards.
- A value that is missing stays missing: papers show a blank, nothing is invented.
- Numbers lie in the unit that ends the field's name; words stand as they were written.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.bench import units
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.bench.typed import read
from diagnose.errors import InputError
from diagnose.nearest import nearest

__all__ = [
    "ASKABLE",
    "FIELDS",
    "WORD_FIELDS",
    "asked",
    "asked_words",
    "numbers_of",
    "read_value",
    "values_of",
    "with_unit",
]

#: fields that are words, because a sheet says more than a number ('by hand', a datum, a range)
WORD_FIELDS: dict[str, str] = {
    "charge_fitting": "charge fitting",
    "ifp_datum": "where the depth of the floating piston is measured from",
    "can_torque": "torque of the air can",
    "bolt_torque": "torque of the bolts, from the frame's maker",
    "damper_oil": "damper oil, by its mm2/s",
    "notes": "anything else",
}

#: every field with its words
FIELDS: dict[str, str] = {name: spec.text for name, spec in SHEET_FIELDS.items()} | WORD_FIELDS

#: what a stage sheet asks for -> fields of the data sheet that answer it
_ANSWERS: dict[str, tuple[str, ...]] = {
    "charge_pressure": ("charge_psi",),
    "damper_oil_mm2_s": ("damper_oil", "oil_at_40c_mm2_s"),
    "ifp_depth_mm": ("ifp_depth_mm", "ifp_datum"),
    "maximum_pressure": ("maximum_pressure_psi",),
    "seal_head_torque": ("seal_head_torque_nm",),
}

#: what a step of a stage sheet may ask the data sheet for
ASKABLE: frozenset[str] = frozenset(FIELDS) | frozenset(_ANSWERS)

#: shock fields of a job that are sheet values under another name
_OF_SHOCK = {
    "set_pressure_psi": "set_pressure",
    "maximum_pressure_psi": "maximum_pressure",
    "stroke_mm": "stroke_mm",
    "eye_to_eye_mm": "eye_to_eye_mm",
    "shaft_diameter_mm": "shaft_diameter_mm",
    "air_can_volume_cc": "air_can_volume_cc",
}


def read_value(name: str, text: str) -> float | str:
    """A typed value of one field: a number in the field's unit, or words.

    Raises
    ------
    InputError : no such field, or not a value of it (a pressure or torque without its unit).

    >>> read_value("charge_psi", "17.2 bar")
    249.46
    >>> read_value("charge_fitting", "needle, 2 mm")
    'needle, 2 mm'
    """
    if name in WORD_FIELDS:
        words = " ".join(text.split())
        if not 0 < len(words) <= 200:
            raise InputError("a value of 1 to 200 characters is wanted.", where=name)
        return words
    spec = SHEET_FIELDS.get(name)
    if spec is None:
        raise InputError(f"'{name}' is no field of a data sheet.", next_step=nearest(name, FIELDS))
    return round(units.to_unit(read(text, spec.kind, where=name).value, spec.unit), 2)


def values_of(shock: Mapping[str, Any], sheet: Mapping[str, float | str]) -> dict[str, float | str]:
    """What is known by the names of a data sheet: the job's own fields before the sheet's."""
    known = dict(sheet)
    for field, name in _OF_SHOCK.items():
        value = shock.get(name)
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


def asked(ask: str, known: Mapping[str, float | str]) -> str:
    """What `values_of` a job answer to a stage sheet's question; empty where they are silent.

    >>> asked("charge_pressure", {"charge_psi": 250.0})
    '250 psi'
    >>> asked("can_torque", {})
    ''
    """
    parts = [with_unit(name, known[name]) for name in _ANSWERS.get(ask, (ask,)) if name in known]
    if ask == "ifp_depth_mm" and parts and "ifp_datum" not in known:
        # A depth without its datum is as good as none.
        parts.append("measured from: ______")
    return ", ".join(parts)


def asked_words(ask: str) -> str:
    """What a stage sheet asks for, in words.

    >>> asked_words("maximum_pressure")
    'marked maximum'
    """
    return FIELDS.get(_ANSWERS.get(ask, (ask,))[0], ask.replace("_", " "))


def with_unit(name: str, value: object) -> str:
    """A value of a field as it is written: a bare number gets the field's unit."""
    spec = SHEET_FIELDS.get(name)
    if spec and isinstance(value, (int, float)) and not isinstance(value, bool):
        return f"{value:g} {spec.unit}"
    return str(value)
