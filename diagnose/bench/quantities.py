"""The bench quantities by id: what a measuring check may name, and what it needs.

An id is never reused. Where a quantity comes from is written in `pressure_readings` (gauge) and
`length_readings` (ruler, scale, clock); this file only lists them and finds one.

>>> result = compute(
...     "sag_percent", read_all("sag_percent", {"sag": "15 mm"}), {"stroke_mm": 50.0}
... )
>>> round(result.value, 1), result.unit
(30.0, '%')
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.bench.evidence import (
    SHEET_FIELDS,
    Ambient,
    PictureData,
    Quantity,
    QuantityResult,
    ReadingSpec,
    SheetField,
    measure,
)
from diagnose.bench.length_readings import LENGTH_QUANTITIES
from diagnose.bench.pressure_readings import PRESSURE_QUANTITIES
from diagnose.bench.typed import Measured
from diagnose.errors import InputError
from diagnose.nearest import nearest

__all__ = [
    "QUANTITIES",
    "SHEET_FIELDS",
    "Ambient",
    "Measured",
    "PictureData",
    "Quantity",
    "QuantityResult",
    "ReadingSpec",
    "SheetField",
    "compute",
    "measure",
    "quantity",
    "read_all",
]

QUANTITIES: Mapping[str, Quantity] = {
    entry.id: entry for entry in (*PRESSURE_QUANTITIES, *LENGTH_QUANTITIES)
}


def quantity(id_: str) -> Quantity:
    """The quantity of that id.

    Raises
    ------
    InputError : no such quantity; names the nearest.

    >>> quantity("play_mm").unit
    'mm'
    """
    if id_ in QUANTITIES:
        return QUANTITIES[id_]
    raise InputError(f"'{id_}' is not a bench quantity.", next_step=nearest(id_, QUANTITIES))


def read_all(id_: str, texts: Mapping[str, str]) -> dict[str, Measured]:
    """Every typed reading of one quantity, in SI with its uncertainty.

    Raises
    ------
    InputError : as `measure`, or a name that the quantity does not take.

    >>> read_all("play_mm", {"play": "0,4 mm"})["play"].value
    0.0004
    """
    wanted = quantity(id_)
    return {name: measure(wanted.reading(name), text) for name, text in texts.items()}


def compute(
    id_: str,
    readings: Mapping[str, Measured],
    sheet: Mapping[str, float] | None = None,
    ambient: Ambient | None = None,
) -> QuantityResult:
    """Result of one quantity; `Quantity.compute` by id.

    Raises
    ------
    InputError : as `quantity` and `Quantity.compute`.

    >>> compute("knob_clicks", read_all("knob_clicks", {"clicks": "12"})).value
    12.0
    """
    return quantity(id_).compute(readings, sheet, ambient)
