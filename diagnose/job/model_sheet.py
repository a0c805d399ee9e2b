"""What the shop's data sheet of one model may say, by the device: its values, and what steps ask.

Rules
-----
- Which values there are stands in the pack's device (``sheet`` of device.yaml): numbers of the
  bench, in the unit that ends their name, and words, because a sheet says more than a number.
- A value that is missing stays missing: papers show a blank, nothing is invented.
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.bench import units
from diagnose.bench.data_sheet import with_unit
from diagnose.bench.quantities import SHEET_FIELDS
from diagnose.bench.typed import read
from diagnose.errors import InputError
from diagnose.knowledge.device import SheetValues
from diagnose.nearest import nearest

__all__ = ["asked", "asked_words", "fields", "read_value"]


def fields(sheet: SheetValues) -> dict[str, str]:
    """Every value of the sheet with its words.

    >>> fields(SheetValues(numbers=["stroke_mm"], words={"notes": "anything else"}))
    {'stroke_mm': 'stroke', 'notes': 'anything else'}
    """
    return {name: SHEET_FIELDS[name].text for name in sheet.numbers} | sheet.words


def read_value(name: str, text: str, sheet: SheetValues) -> float | str:
    """A typed value of one field: a number in the field's unit, or words.

    Raises
    ------
    InputError : no such field, or not a value of it (a pressure or torque without its unit).

    >>> read_value("charge_psi", "17.2 bar", SheetValues(numbers=["charge_psi"]))
    249.46
    >>> read_value("fitting", "needle, 2 mm", SheetValues(words={"fitting": "charge fitting"}))
    'needle, 2 mm'
    """
    if name in sheet.words:
        words = " ".join(text.split())
        if not 0 < len(words) <= 200:
            raise InputError("a value of 1 to 200 characters is wanted.", where=name)
        return words
    if name not in sheet.numbers:
        known = fields(sheet)
        raise InputError(f"'{name}' is no field of a data sheet.", next_step=nearest(name, known))
    spec = SHEET_FIELDS[name]
    return round(units.to_unit(read(text, spec.kind, where=name).value, spec.unit), 2)


def asked(ask: str, known: Mapping[str, float | str], sheet: SheetValues) -> str:
    """What the values of a job answer to a stage sheet's question; empty where they are silent.

    >>> asked("charge", {"charge_psi": 250.0}, SheetValues(asks={"charge": ["charge_psi"]}))
    '250 psi'
    >>> asked("charge", {}, SheetValues())
    ''
    """
    names = [name for name in sheet.asks.get(ask, [ask]) if name in known]
    parts = [with_unit(name, known[name]) for name in names]
    if any(name in sheet.datum and sheet.datum[name] not in known for name in names):
        # A depth without its datum is as good as none.
        parts.append("measured from: ______")
    return ", ".join(parts)


def asked_words(ask: str, sheet: SheetValues) -> str:
    """What a stage sheet asks for, in words.

    >>> asked_words("stroke_mm", SheetValues(numbers=["stroke_mm"]))
    'stroke'
    """
    return fields(sheet).get(sheet.asks.get(ask, [ask])[0], ask.replace("_", " "))
