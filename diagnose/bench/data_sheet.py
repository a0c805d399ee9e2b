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

from diagnose.bench.quantities import SHEET_FIELDS

__all__ = ["numbers_of", "values_of", "with_unit"]

#: shock fields of a job that are sheet values under another name
_OF_SHOCK = {
    "set_pressure_psi": "set_pressure",
    "maximum_pressure_psi": "maximum_pressure",
    "stroke_mm": "stroke_mm",
    "eye_to_eye_mm": "eye_to_eye_mm",
    "shaft_diameter_mm": "shaft_diameter_mm",
    "air_can_volume_cc": "air_can_volume_cc",
}


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


def with_unit(name: str, value: object) -> str:
    """A value of a field as it is written: a bare number gets the field's unit."""
    spec = SHEET_FIELDS.get(name)
    if spec and isinstance(value, (int, float)) and not isinstance(value, bool):
        return f"{value:g} {spec.unit}"
    return str(value)
