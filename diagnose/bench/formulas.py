"""The table of formulas by name: what `diagnose calc` runs and what a measuring check may name.

A name is never reused. Where a formula comes from is written in the module of its group; this file
only lists them and finds one.

>>> calculate("crowfoot", {"torque": "250 in-lbf"}).lines[-1]
'Set 28.2 N·m = 250 in-lbf = 20.8 ft-lbf.'
>>> result = compute(
...     "sag_percent", read_all("sag_percent", {"sag": "15 mm"}), {"stroke_mm": 50.0}
... )
>>> round(result.value, 1), result.unit
(30.0, '%')
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from diagnose.bench.air_formulas import AIR_FORMULAS
from diagnose.bench.damper_formulas import DAMPER_FORMULAS
from diagnose.bench.formula import Formula, Result
from diagnose.bench.given import Ambient, measure
from diagnose.bench.leak_readings import LEAK_READINGS
from diagnose.bench.length_readings import LENGTH_READINGS
from diagnose.bench.pressure_readings import PRESSURE_READINGS
from diagnose.bench.second_gauge import SECOND_GAUGE
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.bench.spring_formulas import SPRING_FORMULAS
from diagnose.bench.typed import Measured
from diagnose.errors import InputError
from diagnose.nearest import nearest

__all__ = ["FORMULAS", "MEASURABLE", "calculate", "compute", "formula", "measurable", "read_all"]

FORMULAS: Mapping[str, Formula] = {
    entry.name: entry
    for entry in (
        *AIR_FORMULAS,
        *SPRING_FORMULAS,
        *DAMPER_FORMULAS,
        *LEAK_READINGS,
        *PRESSURE_READINGS,
        SECOND_GAUGE,
        *LENGTH_READINGS,
    )
}

#: the formulas that a measuring check may name
MEASURABLE: Mapping[str, Formula] = {
    name: entry for name, entry in FORMULAS.items() if entry.possible is not None
}


def formula(name: str) -> Formula:
    """The formula of that name.

    Raises
    ------
    InputError : no such formula; names the nearest.

    >>> formula("hose").text
    'what putting the pump on takes'
    """
    if name in FORMULAS:
        return FORMULAS[name]
    raise InputError(f"there is no calculation '{name}'.", next_step=nearest(name, FORMULAS))


def measurable(name: str) -> Formula:
    """The formula of that name, which a measuring check may use.

    Raises
    ------
    InputError : no such formula; names the nearest.

    >>> measurable("play_mm").unit
    'mm'
    """
    if name in MEASURABLE:
        return MEASURABLE[name]
    raise InputError(f"'{name}' is not a bench quantity.", next_step=nearest(name, MEASURABLE))


def read_all(name: str, texts: Mapping[str, str]) -> dict[str, Measured]:
    """Every typed input of one formula, in SI with its uncertainty.

    Raises
    ------
    InputError : as `measure`, or a name that the formula does not take.

    >>> read_all("play_mm", {"play": "0,4 mm"})["play"].value
    0.0004
    """
    wanted = formula(name)
    return {key: measure(wanted.input(key), text) for key, text in texts.items()}


def compute(
    name: str,
    taken: Mapping[str, Measured],
    sheet: Mapping[str, float] | None = None,
    ambient: Ambient | None = None,
) -> Result:
    """Result of one formula; `Formula.compute` by name.

    Raises
    ------
    InputError : as `formula` and `Formula.compute`.
    """
    return formula(name).compute(taken, sheet, ambient)


def calculate(
    name: str, texts: Mapping[str, str], sheet: Mapping[str, float] | None = None
) -> Result:
    """Result of one formula for inputs as typed; an empty text is none.

    What the data sheet gave is listed among the assumptions: whoever types a calculation sees no
    sheet beside it.

    Raises
    ------
    InputError : as `read_all` and `Formula.compute`.
    """
    entry, known = formula(name), sheet or {}
    typed = read_all(name, {key: text for key, text in texts.items() if text})
    result = entry.compute(typed, known)
    from_sheet = [
        f"{wanted.text}: {known[wanted.sheet]:.12g} {SHEET_FIELDS[wanted.sheet].unit}, "
        "from the data sheet"
        for wanted in entry.inputs
        if wanted.name not in typed and wanted.sheet in known
    ]
    return replace(result, assumptions=(*from_sheet, *result.assumptions))
