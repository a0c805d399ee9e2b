"""Outside check values: every row of oracles.json passes at its stated tolerance, or is listed here
with the reason why no formula of ours answers to it.

The rows were computed once with public libraries (CoolProp, fluids, chemicals, scipy, pint) or read
from a published source; each row names its own.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from diagnose.bench import air_spring, charge, gas, leak, oil, seals, setup, stored_energy, torque
from diagnose.bench.air_spring import TYPICAL
from diagnose.bench.units import from_unit, to_unit

DATA = json.loads((Path(__file__).parent / "oracles.json").read_text(encoding="utf-8"))
ROWS: dict[str, dict[str, Any]] = {row["id"]: row for row in DATA["oracles"]}
ATM = gas.STANDARD_PRESSURE

LEFT_OUT = {
    "s1.Z.": "a real gas is not needed: the ideal one is off by less than a gauge shows",
    "s2.std.1": "no reading or screen uses mol/s",
    "s2.crit": "the size of a hole is nobody's question",
    "s2.orifice": "the size of a hole is nobody's question",
    "s2.capillary": "the size of a scratch is nobody's question",
    "s2.mu.air": "only the size of a scratch would need it",
    "s3.tnt.": "a strike hazard is not told in explosive; the falling hammer says it",
    "s4.air.dissolved": "no check can read how much air is dissolved",
    "s5.trap": "oil without any gas cushion does not occur in these dampers",
    "s5.ssu": "no sheet gives Saybolt seconds",
    "s5.dyn": "no check or sheet uses dynamic viscosity",
}

# Units of the data file that are written otherwise here: (unit, dimension).
UNITS = {
    "degC": ("C", "temperature"),
    "cm3": ("cc", "volume"),
    "L": ("l", "volume"),
    "in lbf": ("in-lbf", "torque"),
    "ft lbf": ("ft-lbf", "torque"),
    "N m": ("N·m", "torque"),
    "std cm3/min": ("std cc/min", "leak rate"),
    "psi abs": ("psi", "pressure"),
    "1": ("1", "ratio"),
    "%": ("%", "ratio"),
    "deg": ("deg", "angle"),
    "cm3/min (std 0C)": ("std cc/min", "leak rate"),
    "N": ("N", "force"),
    "cm3/min (at 20 C gas volume)": ("std cc/min", "leak rate"),
    "cm3/min (ambient)": ("std cc/min", "leak rate"),
    "cm3/s": ("std cc/s", "leak rate"),
    "K": ("K", "temperature"),
    "kg": ("kg", "mass"),
    "mm": ("mm", "length"),
    "m": ("m", "length"),
}


def si(row: dict[str, Any], name: str) -> float:
    """One input of a row in SI."""
    given = row["inputs"][name]
    unit, dimension = UNITS.get(given["unit"], (given["unit"], None))
    return from_unit(given["value"], unit, dimension)


def kelvin_step(row: dict[str, Any], name: str) -> float:
    """A temperature difference or a plain factor, whose number is already SI."""
    return float(row["inputs"][name]["value"])


def charge_full() -> float:
    return gas.absolute(from_unit(250.0, "psi"))


def depth_pressure(depth: float, charge_gauge: float, x: float = 0.050, n: float = 1.0) -> float:
    volume = charge.gas_volume(TYPICAL.damper_bore, depth)
    p0 = gas.absolute(charge_gauge)
    return gas.gauge(charge.charge_pressure(p0, volume, TYPICAL.shaft_area, x, n))


def trapped(x: float) -> tuple[float, float]:
    """Trapped negative and charge pressure of the typical shock at x."""
    negative = air_spring.negative_at(TYPICAL, x, gas.absolute(12e5))
    return negative, air_spring.charge_at(TYPICAL, x, charge_full())


def pull(row: dict[str, Any]) -> float:
    negative, gas_charge = trapped(si(row, "x"))
    return -air_spring.axial_force(TYPICAL, ATM, negative, gas_charge)


def repump(row: dict[str, Any]) -> float:
    return air_spring.reextension_gauge(TYPICAL, *trapped(si(row, "x")))


def rest() -> float:
    return air_spring.rest_position(TYPICAL, ATM, gas.absolute(12e5), charge_full())


def worst_charge() -> float:
    return air_spring.charge_at(TYPICAL, 0.045, charge_full())


def energy(formula: Callable[..., float]) -> Callable[[dict[str, Any]], float]:
    def run(row: dict[str, Any]) -> float:
        gamma = {"gamma": row["inputs"]["gamma"]["value"]} if formula in GAMMA_FORMULAS else {}
        return formula(si(row, "p_abs"), si(row, "V"), si(row, "p_amb"), **gamma)

    return run


GAMMA_FORMULAS = (stored_energy.isentropic, stored_energy.blast)


def llnl(row: dict[str, Any]) -> float:
    volume = row["inputs"]["V"]["value"] * 1728.0
    joule = stored_energy.isentropic(
        si(row, "p"), from_unit(volume, "in3"), si(row, "p_amb"), row["inputs"]["k"]["value"]
    )
    return to_unit(joule, "ft-lbf", "torque")


def energy_crossing(_: dict[str, Any]) -> float:
    return air_spring.bisect(
        lambda ratio: (
            stored_energy.isothermal(ratio * ATM, 1.0) - stored_energy.blast(ratio * ATM, 1.0)
        ),
        2.0,
        50.0,
    )


def decay(row: dict[str, Any]) -> float:
    warm = si(row, "T")
    return leak.standard_rate(
        gas.absolute(si(row, "p1_gauge")),
        gas.absolute(si(row, "p2_gauge")),
        warm,
        warm,
        si(row, "V"),
        si(row, "t"),
    )


def smallest(row: dict[str, Any]) -> float:
    return leak.smallest_leak(
        si(row, "V"),
        si(row, "resolution"),
        si(row, "t"),
        gas.absolute(si(row, "p_gauge")),
        si(row, "T"),
        kelvin_step(row, "dT_halfwidth"),
        kelvin_step(row, "k"),
    )


def drift(row: dict[str, Any]) -> float:
    p1 = si(row, "p1_gauge")
    return p1 - gas.gauge_elsewhere(p1, si(row, "T1"), si(row, "T2"))


def false_leak(row: dict[str, Any]) -> float:
    later = gas.absolute(si(row, "p1_gauge") - drift(row))
    same = si(row, "T2")
    return leak.standard_rate(
        gas.absolute(si(row, "p1_gauge")), later, same, same, si(row, "V"), si(row, "t"), same
    )


def hose(row: dict[str, Any]) -> float:
    times = row["inputs"].get("n", {"value": 1})["value"]
    pressure = si(row, "p1_gauge")
    return gas.after_connecting(pressure, si(row, "V_chamber"), si(row, "V_hose"), times)


def polytropic(row: dict[str, Any]) -> float:
    exponent = row["inputs"].get("n", {"value": gas.GAMMA})["value"]
    return gas.polytropic_pressure(gas.absolute(si(row, "p1_gauge")), 2.0, exponent)


def isentropic_rise(row: dict[str, Any]) -> float:
    ratio = (si(row, "P2") / si(row, "P1")) ** (1.0 / gas.GAMMA)
    start = si(row, "T1")
    return gas.polytropic_temperature(start, ratio, gas.GAMMA) - start


def ifp_pressure(row: dict[str, Any]) -> float:
    exponent = row["inputs"]["n"]["value"]
    return depth_pressure(si(row, "depth"), si(row, "p0_gauge"), si(row, "x"), exponent)


def cavitation(row: dict[str, Any]) -> float:
    return charge.cavitation_force(gas.absolute(si(row, "p0_gauge")), si(row, "A_annulus"))


def emulsion(row: dict[str, Any]) -> float:
    pressure = si(row, "p")
    modulus = si(row, "B_oil")
    local = charge.free_gas_fraction(row["inputs"]["alpha0"]["value"], pressure, modulus)
    return charge.effective_modulus(modulus, local, pressure)


def d341(row: dict[str, Any]) -> float:
    return oil.viscosity_at(*(si(row, name) for name in ("v1", "T1", "v2", "T2", "T")))


def warm_charge(row: dict[str, Any]) -> float:
    gained = oil.expansion(si(row, "V_oil"), 40.0)
    volume = si(row, "V_gas")
    warm = gas.at_temperature(gas.absolute(si(row, "p0_gauge")), 293.15, 333.15)
    return gas.gauge(gas.polytropic_pressure(warm, volume / (volume - gained), 1.0))


def crowfoot(row: dict[str, Any]) -> float:
    length, reach = row["inputs"]["L"]["value"], row["inputs"]["E"]["value"]
    return torque.wrench_setting(si(row, "T"), length, reach, si(row, "angle"))


def index_printed(row: dict[str, Any]) -> float:
    given = {name: entry["value"] for name, entry in row["inputs"].items()}
    hundred = given.get("Y", 8.86)
    return oil.index_between(given["U"], hundred, given.get("L", 1e3), given["H"])


def spring(row: dict[str, Any]) -> float:
    exponent = row["inputs"].get("n", {"value": 1.0})["value"]
    return air_spring.spring_force(
        TYPICAL, si(row, "x"), gas.absolute(12e5), charge_full(), exponent
    )


def rate(row: dict[str, Any]) -> float:
    return air_spring.spring_rate(TYPICAL, si(row, "x"), gas.absolute(12e5), charge_full())


def sag_pressure(row: dict[str, Any]) -> float:
    return gas.gauge(
        air_spring.set_pressure_for(TYPICAL, si(row, "F"), si(row, "x"), charge_full())
    )


G1_LEAVES = (
    -air_spring.axial_force(
        TYPICAL, ATM, air_spring.negative_at(TYPICAL, 0.0, gas.absolute(12e5)), charge_full()
    )
    / TYPICAL.positive_area
)

# The longest matching prefix wins; each function returns SI, `llnl` its own unit.
RUNNERS: dict[str, Callable[[dict[str, Any]], float]] = {
    "s1.unit.": lambda row: si(row, "p"),
    "s1.gauge.abs": lambda row: gas.absolute(si(row, "p_gauge"), si(row, "p_atm")),
    "s1.temp.": lambda row: gas.gauge_elsewhere(si(row, "p1_gauge"), si(row, "T1"), si(row, "T2")),
    "s1.atm.": lambda row: gas.ambient_at_altitude(si(row, "z")),
    "s1.alt.gauge": lambda row: (
        gas.gauge_elsewhere(
            si(row, "p1_gauge"), 293.15, 293.15, ATM, gas.ambient_at_altitude(si(row, "z"))
        )
        - si(row, "p1_gauge")
    ),
    "s1.hose.": hose,
    "s1.poly.": polytropic,
    "s1.poly.n1.0.W": lambda row: gas.polytropic_work(
        gas.absolute(si(row, "p1_gauge")), si(row, "V1"), 2.0, 1.0
    ),
    "s1.poly.fluids.dT": isentropic_rise,
    "s1.poly.pyromat.T": lambda row: gas.polytropic_temperature(si(row, "T1"), 2.0, gas.GAMMA),
    "s1.dpdT.": lambda row: gas.at_temperature(si(row, "p"), 293.15, 294.15) - si(row, "p"),
    "s2.decay.": decay,
    "s2.drift.1": drift,
    "s2.drift.2": false_leak,
    "s2.drift.3": lambda row: (
        si(row, "p_gauge")
        - gas.gauge_elsewhere(si(row, "p_gauge"), si(row, "T"), si(row, "T") - 1.0)
    ),
    "s2.std.3": lambda row: (
        leak.standard_rate(2e5, 1e5, 293.15, 293.15, 1e-4, 60.0, 293.15)
        / leak.standard_rate(2e5, 1e5, 293.15, 293.15, 1e-4, 60.0)
    ),
    "s2.time.": lambda row: leak.time_to_lose(
        si(row, "p1_gauge") - si(row, "p2_gauge"), si(row, "Q"), si(row, "V"), 293.15
    ),
    "s2.res.pub": lambda row: leak.resolution_uncertainty(1.0),
    "s2.half.1": lambda row: leak.gauge_after(
        si(row, "p1_gauge"), si(row, "tau"), leak.half_life(si(row, "tau"))
    ),
    "s2.half.2": lambda row: leak.laminar_time(
        gas.absolute(si(row, "p1_gauge")),
        gas.absolute(si(row, "p1_gauge") / 2),
        kelvin_step(row, "k"),
    ),
    "s2.half.3": lambda row: leak.choked_time(
        gas.absolute(si(row, "p1_gauge")), gas.absolute(si(row, "p1_gauge") / 2), si(row, "tau_c")
    ),
    "s2.tau.half": lambda row: leak.half_life(si(row, "tau")),
    "s2.cond.": lambda row: leak.conductance(si(row, "V"), si(row, "tau")),
    "s2.gum.": smallest,
    "s2.gum.res": lambda row: leak.resolution_uncertainty(si(row, "resolution")),
    "s2.bubble.": lambda row: leak.bubble_rate(si(row, "D"), si(row, "t")),
    "s2.bubble.ratio": lambda row: (
        leak.smallest_leak(
            100e-6, from_unit(1.0, "psi"), 600.0, gas.absolute(from_unit(200.0, "psi")), 293.15
        )
        / leak.BUBBLE_LIMIT
    ),
    "s3.stuck.x": lambda row: rest(),
    "s3.stuck.pneg": lambda row: gas.gauge(trapped(rest())[0]),
    "s3.stuck.pull.": pull,
    "s3.stuck.repump.": repump,
    "s3.vent.leave": lambda row: G1_LEAVES,
    "s3.vent.negfull": lambda row: gas.gauge(
        air_spring.negative_at(TYPICAL, 0.0, gas.absolute(12e5))
    ),
    "s3.E.isen.": energy(stored_energy.isentropic),
    "s3.E.avail.": energy(stored_energy.availability),
    "s3.E.isot.": energy(stored_energy.isothermal),
    "s3.E.brode.": energy(stored_energy.blast),
    "s3.E.cross": energy_crossing,
    "s3.E.llnl": llnl,
    "s3.worst.pull": lambda row: (
        -air_spring.axial_force(TYPICAL, ATM, gas.absolute(si(row, "p_neg_gauge")), worst_charge())
    ),
    "s3.worst.repump": lambda row: air_spring.reextension_gauge(
        TYPICAL, gas.absolute(si(row, "p_neg_gauge")), worst_charge()
    ),
    "s3.worst.E": lambda row: stored_energy.isentropic(si(row, "p_abs"), si(row, "V")),
    "s3.haz.force": lambda row: charge.shaft_force(si(row, "p_gauge"), si(row, "D")),
    "s3.haz.drop": lambda row: stored_energy.drop_height(si(row, "E"), si(row, "m")),
    "s4.ifp.p.": ifp_pressure,
    "s4.ifp.cr": lambda row: charge.compression_ratio(
        charge.gas_volume(si(row, "bore"), si(row, "depth")),
        charge.circle_area(si(row, "shaft")),
        si(row, "stroke"),
    ),
    "s4.ifp.depth.": lambda row: depth_pressure(si(row, "depth"), si(row, "p0_gauge")),
    "s4.ifp.charge.": lambda row: depth_pressure(0.030, si(row, "p0_gauge")),
    "s4.ifp.rodforce": lambda row: charge.shaft_force(si(row, "p0_gauge"), si(row, "shaft")),
    "s4.cav.dP": lambda row: charge.orifice_drop(
        si(row, "v"), TYPICAL_RING, si(row, "A_orifice"), 0.7, si(row, "rho")
    ),
    "s4.cav.v": lambda row: charge.cavitation_speed(charge_full(), TYPICAL_RING, 6e-6, 0.7, 870.0),
    "s4.cav.F.": cavitation,
    "s4.emul.B.": emulsion,
    "s4.emul.loss": lambda row: charge.column_loss(
        si(row, "V"), row["inputs"]["alpha0"]["value"], gas.absolute(si(row, "p_gauge"))
    ),
    "s4.emul.ifpshift": lambda row: charge.piston_travel(si(row, "dV"), TYPICAL.damper_bore),
    "s5.d341.": d341,
    "s5.vi.": lambda row: oil.viscosity_index(si(row, "v40"), si(row, "v100")),
    "s5.vi.LH": index_printed,
    "s5.vi.N": index_printed,
    "s5.iso3448.": lambda row: oil.grade_range(round(row["inputs"]["VG"]["value"]))[
        row["id"].endswith("max")
    ],
    "s5.exp.pub": lambda row: oil.expansion(
        si(row, "V"), kelvin_step(row, "dT"), kelvin_step(row, "beta")
    ),
    "s5.exp.beta.": lambda row: oil.EXPANSION,
    "s5.exp.ifp": lambda row: charge.piston_travel(
        oil.expansion(si(row, "V_oil"), si(row, "T2") - si(row, "T1")), si(row, "bore")
    ),
    "s5.exp.ifp.p": warm_charge,
    "s6.unit.": lambda row: si(row, "T"),
    "s6.crow.": crowfoot,
    "s6.As.": lambda row: torque.stress_area(si(row, "d"), si(row, "P")),
    "s6.preload.": lambda row: torque.preload(si(row, "T"), si(row, "d"), 0.2),
    "s6.oring.sq.": lambda row: seals.squeeze(si(row, "CS"), si(row, "gap")),
    "s6.oring.red.": lambda row: seals.stretched_section(
        si(row, "CS"), si(row, "ID"), si(row, "groove_d")
    ),
    "s6.oring.stretch.": lambda row: seals.stretch(si(row, "ID"), si(row, "groove_d")),
    "s6.oring.fill": lambda row: seals.fill(si(row, "CS"), si(row, "width"), si(row, "depth")),
    "s7.F.": spring,
    "s7.k.": rate,
    "s7.sag.F": lambda row: setup.shock_load(si(row, "m"), si(row, "share"), si(row, "LR")),
    "s7.LR.avg": lambda row: setup.average_leverage(
        setup.wheel_travel(si(row, "stroke"), 2.9, 16.0), si(row, "stroke")
    ),
    "s7.sag.wheel": lambda row: setup.wheel_travel(si(row, "x"), 2.9, 16.0),
    "s7.sag.p30": sag_pressure,
}

TYPICAL_RING = charge.circle_area(0.024) - charge.circle_area(0.010)

# Units of results that are plain numbers in the row: SI per unit.
PLAIN = {"Pa/K": 1.0, "1/K": 1.0, "psi/K": 6894.757293168361, "N/mm": 1e3}


def longest_match(row_id: str, table: dict[str, Any]) -> str | None:
    return max((prefix for prefix in table if row_id.startswith(prefix)), key=len, default=None)


def in_unit(value: float, row: dict[str, Any]) -> float:
    unit = row["expected"]["unit"]
    if row["id"] in ("s1.poly.fluids.dT", "s3.E.llnl"):  # a difference; already in its unit
        return value
    if unit in PLAIN:
        return value / PLAIN[unit]
    symbol, dimension = UNITS.get(unit, (unit, None))
    return to_unit(value, symbol, dimension)


@pytest.mark.parametrize("row_id", [name for name in ROWS if not longest_match(name, LEFT_OUT)])
def test_our_formula_meets_the_outside_value(row_id: str) -> None:
    row = ROWS[row_id]
    prefix = longest_match(row_id, RUNNERS)
    assert prefix is not None, f"{row_id}: add a runner, or list it in LEFT_OUT with the reason"
    got = in_unit(RUNNERS[prefix](row), row)
    want, tolerance = row["expected"]["value"], row["tolerance"]
    margin = tolerance["value"] * (abs(want) if tolerance["type"] == "rel" else 1.0)
    assert abs(got - want) <= margin, f"{row_id}: {got} is not {want} +- {margin} ({row['source']})"


def test_a_row_is_either_run_or_left_out_and_every_entry_is_used() -> None:
    run = {longest_match(name, RUNNERS) for name in ROWS if not longest_match(name, LEFT_OUT)}
    left = {longest_match(name, LEFT_OUT) for name in ROWS} - {None}
    assert run == set(RUNNERS)
    assert left == set(LEFT_OUT)
    assert not {
        name for name in ROWS if longest_match(name, LEFT_OUT) and longest_match(name, RUNNERS)
    }


def test_gauge_pressure_in_the_gas_law_would_be_caught() -> None:
    """200 psi * 263.15/293.15 = 179.5 psi is the usual slip; the row says 178.03."""
    row = ROWS["s1.temp.ideal.-10C"]
    slip = 200.0 * 263.15 / 293.15
    assert abs(slip - row["expected"]["value"]) > 1.0


def test_typical_shock_is_the_one_of_the_data_file() -> None:
    derived = DATA["bench_shock_G1"]["derived"]
    assert TYPICAL.positive_area * 1e6 == pytest.approx(derived["A_pos_mm2"])
    assert TYPICAL.negative_area * 1e6 == pytest.approx(derived["A_neg_mm2"])
    assert TYPICAL.shaft_area * 1e6 == pytest.approx(derived["A_shaft_mm2"])
    assert TYPICAL.charge_volume * 1e6 == pytest.approx(derived["V_gas0_cm3"])
    assert charge.piston_travel(
        TYPICAL.shaft_area * TYPICAL.stroke, TYPICAL.damper_bore
    ) * 1e3 == pytest.approx(derived["ifp_travel_mm"])


def test_published_example_with_a_slip_is_not_reproduced() -> None:
    """A page re-works 400 gal at 404.7 psia and prints 27.6e6 ft lbf; its formula gives 4.7e6."""
    assert llnl(ROWS["s3.E.llnl"]) < 5e6
