"""The calculations by name; the arithmetic is in `air_calculations`, `spring_calculations` and
`damper_calculations`.

>>> calculate("crowfoot", {"torque": "250 in-lbf"}).lines[-1]
'Set 28.2 N·m = 250 in-lbf = 20.8 ft-lbf.'
"""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.bench.air_calculations import AIR_CALCULATIONS
from diagnose.bench.calculation import (
    Calculation,
    CalculationInput,
    CalculationResult,
    Value,
)
from diagnose.bench.damper_calculations import DAMPER_CALCULATIONS
from diagnose.bench.spring_calculations import SPRING_CALCULATIONS
from diagnose.errors import InputError
from diagnose.nearest import nearest

__all__ = [
    "CALCULATIONS",
    "Calculation",
    "CalculationInput",
    "CalculationResult",
    "Value",
    "calculate",
    "calculation",
]

CALCULATIONS: Mapping[str, Calculation] = {
    entry.name: entry for entry in (*AIR_CALCULATIONS, *SPRING_CALCULATIONS, *DAMPER_CALCULATIONS)
}


def calculation(name: str) -> Calculation:
    """The calculation of that name.

    Raises
    ------
    InputError : no such calculation; names the nearest.

    >>> calculation("hose").text
    'what putting the pump on takes'
    """
    if name in CALCULATIONS:
        return CALCULATIONS[name]
    raise InputError(f"'{name}' is not a calculation.", next_step=nearest(name, CALCULATIONS))


def calculate(
    name: str, texts: Mapping[str, str], sheet: Mapping[str, float] | None = None
) -> CalculationResult:
    """Result of a calculation for inputs as typed; `Calculation.run` by name.

    Raises
    ------
    InputError : as `calculation` and `Calculation.run`.
    """
    return calculation(name).run(texts, sheet)
