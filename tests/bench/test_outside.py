"""Recomputed with large public libraries: real gas (CoolProp), atmosphere and orifices (fluids),
viscosity index (chemicals). Run by `python3 tests --outside`, skipped where they are missing."""

from __future__ import annotations

import pytest

from diagnose.bench import air_spring, charge, gas, leak, oil, stored_energy
from diagnose.bench.air_spring import TYPICAL

pytestmark = pytest.mark.outside

PSI = 6894.757293168361
GAUGES = [50 * PSI, 150 * PSI, 250 * PSI, 350 * PSI]


@pytest.mark.parametrize("gauge", GAUGES)
@pytest.mark.parametrize("celsius", [-20.0, 0.0, 40.0, 60.0])
def test_temperature_law_against_real_air(gauge: float, celsius: float) -> None:
    """Ideal against Lemmon et al. 2000: within 1.2 % of the absolute pressure."""
    cool = pytest.importorskip("CoolProp.CoolProp")
    start = gas.absolute(gauge)
    density = cool.PropsSI("D", "T", 293.15, "P", start, "Air")
    real = cool.PropsSI("P", "T", celsius + 273.15, "D", density, "Air")
    assert gas.at_temperature(start, 293.15, celsius + 273.15) == pytest.approx(real, rel=0.012)


@pytest.mark.parametrize("altitude", [0.0, 250.0, 1200.0, 2750.0, 4500.0])
def test_altitude_against_the_standard_atmosphere(altitude: float) -> None:
    fluids = pytest.importorskip("fluids")
    assert gas.ambient_at_altitude(altitude) == pytest.approx(
        fluids.atmosphere.ATMOSPHERE_1976(altitude).P, rel=5e-4
    )


@pytest.mark.parametrize("gauge", GAUGES)
def test_leak_rate_against_real_air(gauge: float) -> None:
    """Moles lost from 100 cm3, real densities: within 3 % of the ideal rate."""
    cool = pytest.importorskip("CoolProp.CoolProp")
    high, low = gas.absolute(gauge), gas.absolute(gauge - 5 * PSI)
    lost = [cool.PropsSI("Dmolar", "T", 293.15, "P", p, "Air") for p in (high, low)]
    standard = cool.PropsSI("Dmolar", "T", 273.15, "P", 101325.0, "Air")
    real = 1e-4 * (lost[0] - lost[1]) / standard / 600.0
    assert leak.standard_rate(high, low, 293.15, 293.15, 1e-4, 600.0) == pytest.approx(
        real, rel=0.03
    )


@pytest.mark.parametrize("gauge", GAUGES)
def test_sudden_energy_against_real_air(gauge: float) -> None:
    cool = pytest.importorskip("CoolProp.CoolProp")
    pressure = gas.absolute(gauge)
    mass = cool.PropsSI("D", "T", 293.15, "P", pressure, "Air") * 1e-4
    inner = cool.PropsSI("U", "T", 293.15, "P", pressure, "Air")
    entropy = cool.PropsSI("S", "T", 293.15, "P", pressure, "Air")
    after = cool.PropsSI("U", "P", 101325.0, "S", entropy, "Air")
    assert stored_energy.isentropic(pressure, 1e-4) == pytest.approx(
        mass * (inner - after), rel=0.04
    )


@pytest.mark.parametrize("x", [0.0, 0.006, 0.020, 0.040])
def test_spring_force_against_real_gases(x: float) -> None:
    cool = pytest.importorskip("CoolProp.CoolProp")

    def squeezed(pressure: float, ratio: float, fluid: str) -> float:
        density = cool.PropsSI("D", "T", 293.15, "P", pressure, fluid)
        return float(cool.PropsSI("P", "T", 293.15, "D", density * ratio, fluid))

    set_pressure, full_gas = gas.absolute(12e5), gas.absolute(250 * PSI)
    transfer = TYPICAL.transfer
    positive = squeezed(
        set_pressure, TYPICAL.positive_volume_at(transfer) / TYPICAL.positive_volume_at(x), "Air"
    )
    negative = squeezed(
        set_pressure, TYPICAL.negative_volume_at(transfer) / TYPICAL.negative_volume_at(x), "Air"
    )
    ratio = charge.compression_ratio(TYPICAL.charge_volume, TYPICAL.shaft_area, x)
    real = air_spring.axial_force(
        TYPICAL, positive, negative, squeezed(full_gas, ratio, "Nitrogen")
    )
    got = air_spring.spring_force(TYPICAL, x, set_pressure, full_gas)
    assert got == pytest.approx(real, abs=25.0)


@pytest.mark.parametrize("at_100", [2.4, 3.1, 4.2, 5.5, 6.7, 7.3, 8.5, 11.0, 14.0])
@pytest.mark.parametrize("ratio", [3.5, 5.0, 7.0])
def test_viscosity_index_against_the_full_table(at_100: float, ratio: float) -> None:
    """Every joint of the short table against the long one of ASTM D2270: within one index unit."""
    chemicals = pytest.importorskip("chemicals")
    at_40 = at_100 * ratio
    theirs = chemicals.viscosity.viscosity_index(at_40 * 1e-6, at_100 * 1e-6)
    assert oil.viscosity_index(at_40 * 1e-6, at_100 * 1e-6) == pytest.approx(theirs, abs=1.0)


@pytest.mark.parametrize("speed", [0.1, 0.5, 1.0, 2.0])
def test_orifice_against_a_loss_coefficient(speed: float) -> None:
    fluids = pytest.importorskip("fluids")
    velocity = 373.85e-6 * speed / 6e-6
    theirs = fluids.core.dP_from_K(K=1 / 0.7**2, rho=870.0, V=velocity)
    assert charge.orifice_drop(speed, 373.85e-6, 6e-6, 0.7, 870.0) == pytest.approx(theirs)
