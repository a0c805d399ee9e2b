"""The gas charge: depth, force, cavitation, gas in the oil."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench import charge
from diagnose.errors import InputError

DIAMETERS = st.floats(0.006, 0.020)


@given(st.floats(-1e5, 40e5), DIAMETERS)
def test_force_and_pressure_undo_each_other(pressure: float, diameter: float) -> None:
    force = charge.shaft_force(pressure, diameter)
    assert charge.charge_from_force(force, diameter) == pytest.approx(pressure, abs=1e-3)


@given(st.floats(0.020, 0.060), st.floats(0.0, 0.05), st.floats(1.0, 1.4))
def test_a_deeper_piston_means_a_softer_end(depth: float, x: float, n: float) -> None:
    area = charge.circle_area(0.010)
    here = charge.charge_pressure(18e5, charge.gas_volume(0.024, depth), area, x, n)
    deeper = charge.charge_pressure(18e5, charge.gas_volume(0.024, depth + 0.005), area, x, n)
    assert 18e5 <= deeper <= here * (1 + 1e-12)


@given(st.floats(1e5, 40e5), st.floats(1e-6, 20e-6))
def test_at_the_cavitation_speed_the_drop_is_the_charge(pressure: float, hole: float) -> None:
    flow = (373.8e-6, hole, 0.7, 870.0)
    speed = charge.cavitation_speed(pressure, *flow)
    assert charge.orifice_drop(speed, *flow) == pytest.approx(pressure)


@given(st.floats(0.0, 0.3), st.floats(1.02e5, 40e5), st.floats(1.01, 3.0))
def test_pressure_hides_gas_and_stiffens_oil(share: float, pressure: float, more: float) -> None:
    modulus = 1.5e9

    def soft(p: float) -> float:
        return charge.effective_modulus(modulus, charge.free_gas_fraction(share, p, modulus), p)

    assert charge.free_gas_fraction(share, pressure, modulus) <= share * (1 + 1e-9)
    assert soft(pressure) <= soft(pressure * more) * (1 + 1e-12)
    assert soft(pressure) <= modulus * (1 + 1e-12)
    assert 0.0 <= charge.column_loss(60e-6, share, pressure) <= 60e-6 * share


def test_two_hundred_and_fifty_psi_cannot_be_missed_by_hand() -> None:
    """250 psi on a 10 mm shaft: 1.7237 MPa * 78.54 mm2 = 135 N."""
    assert charge.shaft_force(250 * 6894.757, 0.010) == pytest.approx(135.4, abs=0.1)


def test_a_shaft_too_big_for_the_gas_is_refused() -> None:
    with pytest.raises(InputError, match="more oil than the gas"):
        charge.charge_pressure(18e5, 1e-6, 78.5e-6, 0.05)


@pytest.mark.parametrize("share", [-0.1, 1.0, float("nan")])
def test_a_share_of_gas_outside_zero_to_one_is_refused(share: float) -> None:
    with pytest.raises(InputError, match="outside 0 to 1"):
        charge.free_gas_fraction(share, 1e6, 1.5e9)
