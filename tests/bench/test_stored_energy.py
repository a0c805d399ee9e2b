"""Stored energy: which formula is the larger where, and nothing at ambient."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench import stored_energy as energy
from diagnose.bench.gas import STANDARD_PRESSURE

FORMULAS = (energy.isentropic, energy.isothermal, energy.availability, energy.blast)


@pytest.mark.parametrize("formula", FORMULAS)
def test_a_chamber_at_ambient_holds_nothing(formula: object) -> None:
    assert formula(STANDARD_PRESSURE, 1e-4) == pytest.approx(0.0)  # type: ignore[operator]


@given(st.floats(1.01, 40.0), st.floats(1e-6, 1e-3))
def test_the_order_of_the_formulas(ratio: float, volume: float) -> None:
    """Brode is above the isentropic value, and above the isothermal below a ratio of 9.31."""
    values = [formula(ratio * STANDARD_PRESSURE, volume) for formula in FORMULAS]
    sudden, slow, useful, blast = values
    assert blast > sudden > 0
    assert slow > useful
    assert (blast > slow) == (ratio < 9.314868)


@given(st.floats(1.1, 30.0), st.floats(1.01, 2.0))
def test_more_pressure_holds_more(ratio: float, more: float) -> None:
    for formula in FORMULAS:
        high = formula(ratio * more * STANDARD_PRESSURE, 1e-4)
        assert high > formula(ratio * STANDARD_PRESSURE, 1e-4)
