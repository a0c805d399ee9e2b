"""Formulas of the damper side and the bench: charge, oil, torque, O-rings."""

from __future__ import annotations

from math import degrees

from diagnose.bench import charge, gas, oil, seals, torque
from diagnose.bench.formula import Formula, Outcome, both
from diagnose.bench.given import HOSE, Given, Input
from diagnose.bench.units import from_unit, render

__all__ = ["DAMPER_FORMULAS"]

OIL_MODULUS = 1.5e9
"""Bulk modulus of mineral oil [Pa]: handbook order of magnitude (from memory)."""

_CHARGE = Input("charge", "gas charge", "charge pressure", sheet="charge_psi")
_BORE = Input("bore", "damper bore", "small length", sheet="damper_bore_mm")
_SHAFT = Input("shaft", "shaft diameter", "shaft diameter", sheet="shaft_diameter_mm")


def _charge(v: Given) -> Outcome:
    shaft_area = charge.circle_area(v["shaft"])
    full_gas = gas.absolute(v["charge"])

    def end_pressure(depth: float) -> float:
        volume = charge.gas_volume(v["bore"], depth)
        at_end = charge.charge_pressure(full_gas, volume, shaft_area, v["stroke"], v["exponent"])
        return gas.gauge(at_end)

    volume = charge.gas_volume(v["bore"], v["depth"])
    at_end = end_pressure(v["depth"])
    wrong = end_pressure(v["depth"] + v["depth_error"]) - at_end
    after_hose = gas.after_connecting(v["charge"], volume, v["hose"])
    push = charge.shaft_force(v["charge"], v["shaft"])
    ratio = charge.compression_ratio(volume, shaft_area, v["stroke"])
    travel = charge.piston_travel(shaft_area * v["stroke"], v["bore"])
    return Outcome(
        (
            f"{render(volume, 'cc')} of gas; the piston moves {render(travel, 'mm')} and the gas "
            f"is pressed {ratio:.2f} times, to {both(at_end)} at full stroke.",
            f"The shaft pushes out with {render(push, 'N')}, air spring empty.",
            f"A depth {render(v['depth_error'], 'mm')} too large changes the end by {both(wrong)};"
            f" a hose of {render(v['hose'], 'cc')} put on afterwards leaves {both(after_hose)}.",
        ),
        (
            ("gauge_at_full_stroke", at_end, "psi", "pressure"),
            ("compression_ratio", ratio, "1", "ratio"),
            ("piston_travel", travel, "mm", "length"),
            ("shaft_force", push, "N", "force"),
            ("after_hose", after_hose, "psi", "pressure"),
        ),
    )


def _shaft_force(v: Given) -> Outcome:
    found = charge.charge_from_force(v["force"], v["shaft"])
    return Outcome(
        (
            f"{render(v['force'], 'N', dimension='force')} on a shaft of "
            f"{render(v['shaft'], 'mm')}.",
            f"That is a charge of {both(found)}, seal drag left out.",
        ),
        (("charge", found, "psi", "pressure"),),
    )


def _cavitation(v: Given) -> Outcome:
    ring = charge.circle_area(v["bore"]) - charge.circle_area(v["shaft"])
    full_gas = gas.absolute(v["charge"])
    flow = (ring, v["orifice"], v["coefficient"], v["density"])
    drop = charge.orifice_drop(v["speed"], *flow)
    limit = charge.cavitation_speed(full_gas, *flow)
    most = charge.cavitation_force(full_gas, ring)
    margin = full_gas - drop
    return Outcome(
        (
            f"At {render(v['speed'], 'm/s')} the piston drops {both(drop)}.",
            f"Margin to cavitation {both(margin)}; it ends at {render(limit, 'm/s')}.",
            f"The piston can brake with at most {render(most, 'N')} on this charge.",
        ),
        (
            ("drop", drop, "psi", "pressure"),
            ("margin", margin, "psi", "pressure"),
            ("speed_limit", limit, "m/s", "speed"),
            ("force_limit", most, "N", "force"),
        ),
    )


def _gas_in_oil(v: Given) -> Outcome:
    full_gas = gas.absolute(v["charge"])
    lost = charge.column_loss(v["oil"], v["share"], full_gas)
    shift = charge.piston_travel(lost, v["bore"])
    local = charge.free_gas_fraction(v["share"], full_gas, OIL_MODULUS)
    modulus = charge.effective_modulus(OIL_MODULUS, local, full_gas)
    return Outcome(
        (
            f"{v['share'] * 100:.1f} % free gas in {render(v['oil'], 'cc')} of oil: "
            f"{render(lost, 'cc')} vanish under the charge.",
            f"The floating piston then stands {render(shift, 'mm')} off its depth.",
            f"The oil is {OIL_MODULUS / modulus:.1f} times softer: a lag at reversal.",
        ),
        (
            ("lost", lost, "cc", "volume"),
            ("piston_shift", shift, "mm", "length"),
            ("softer", OIL_MODULUS / modulus, "1", "ratio"),
        ),
    )


def _oil(v: Given) -> Outcome:
    kelvin = from_unit(40.0, "C"), from_unit(100.0, "C")
    there = oil.viscosity_at(v["at_40"], kelvin[0], v["at_100"], kelvin[1], v["temperature"])
    warm = oil.viscosity_at(v["at_40"], kelvin[0], v["at_100"], kelvin[1], from_unit(20.0, "C"))
    index = oil.viscosity_index(v["at_40"], v["at_100"])
    fits = [
        grade
        for grade in oil.GRADES
        if oil.grade_range(grade)[0] <= v["at_40"] <= oil.grade_range(grade)[1]
    ]
    grade = f"ISO VG {fits[0]}" if fits else "between two ISO grades"
    return Outcome(
        (
            f"{render(v['at_40'], 'mm2/s')} at 40 C: {grade}; viscosity index {index:.0f}.",
            f"At {render(v['temperature'], 'C')}: {render(there, 'mm2/s')}.",
            f"That is {there / warm:.1f} times the value at 20 C.",
        ),
        (
            ("viscosity", there, "mm2/s", "viscosity"),
            ("index", index, "1", "ratio"),
            ("against_20_c", there / warm, "1", "ratio"),
        ),
    )


def _expansion(v: Given) -> Outcome:
    gained = oil.expansion(v["oil"], v["temperature_after"] - v["temperature_before"])
    shift = charge.piston_travel(gained, v["bore"])
    return Outcome(
        (
            f"{render(v['oil'], 'cc')} of oil from {render(v['temperature_before'], 'C')} to "
            f"{render(v['temperature_after'], 'C')}: {render(gained, 'cc')} more.",
            f"The floating piston moves by {render(shift, 'mm')}.",
        ),
        (("gained", gained, "cc", "volume"), ("piston_shift", shift, "mm", "length")),
    )


def _crowfoot(v: Given) -> Outcome:
    setting = torque.wrench_setting(v["torque"], v["wrench"], v["adapter"], v["angle"])

    def all_units(value: float) -> str:
        return " = ".join(render(value, unit) for unit in ("N·m", "in-lbf", "ft-lbf"))

    return Outcome(
        (
            f"The thread gets {all_units(v['torque'])}.",
            f"Wrench {render(v['wrench'], 'mm')}, adapter {render(v['adapter'], 'mm')} at "
            f"{degrees(v['angle']):.0f} degrees.",
            f"Set {all_units(setting)}.",
        ),
        (("setting", setting, "N·m", "torque"),),
    )


def _preload(v: Given) -> Outcome:
    force = torque.preload(v["torque"], v["diameter"], v["factor"])
    share = torque.preload_share(force, v["diameter"], v["pitch"])
    sane = "within the usual 75 %" if share <= 0.75 else "more than the usual 75 %: check the value"
    return Outcome(
        (
            f"{render(v['torque'], 'N·m')} on a {render(v['diameter'], 'mm')} thread clamps with "
            f"about {render(force, 'N', dimension='force')}, good to a third.",
            f"That is {share * 100:.0f} % of the proof load of class 8.8: {sane}.",
        ),
        (("preload", force, "N", "force"), ("share_of_proof", share, "%", "ratio")),
    )


def _o_ring(v: Given) -> Outcome:
    stretch = seals.stretch(v["inner_diameter"], v["groove_diameter"])
    section = seals.stretched_section(v["section"], v["inner_diameter"], v["groove_diameter"])
    squeeze = seals.squeeze(section, v["gap"])
    fill = seals.fill(section, v["width"], v["gap"])
    still, moving = seals.SQUEEZE_STILL, seals.SQUEEZE_MOVING
    return Outcome(
        (
            f"Stretched {stretch * 100:.1f} % (up to {seals.STRETCH_MOST * 100:.0f}): section "
            f"{render(section, 'mm')}.",
            f"Squeezed {squeeze * 100:.0f} % (usual {moving[0] * 100:.0f}-{moving[1] * 100:.0f} "
            f"moving, {still[0] * 100:.0f}-{still[1] * 100:.0f} still).",
            f"Groove filled {fill * 100:.0f} % (up to {seals.FILL_MOST * 100:.0f}).",
        ),
        (
            ("stretch", stretch, "%", "ratio"),
            ("squeeze", squeeze, "%", "ratio"),
            ("fill", fill, "%", "ratio"),
            ("section", section, "mm", "length"),
        ),
    )


_OIL = Input("oil", "oil volume", "oil volume", "60 cc", "oil_volume_cc")

DAMPER_FORMULAS: tuple[Formula, ...] = (
    Formula(
        "charge",
        "gas charge over stroke, depth error, hose, force on the shaft",
        (
            _CHARGE,
            Input("depth", "depth of the floating piston", "stroke length", sheet="ifp_depth_mm"),
            _BORE,
            _SHAFT,
            Input("stroke", "stroke", "stroke", sheet="stroke_mm"),
            Input("depth_error", "depth too large by", "small length", "1 mm"),
            HOSE,
            Input("exponent", "exponent, 1 slow to 1.4 fast", "exponent", "1"),
        ),
        _charge,
        "physics: polytropic gas",
    ),
    Formula(
        "shaft-force",
        "gas charge from the force on the shaft",
        (Input("force", "force on the shaft, air out", "hand force"), _SHAFT),
        _shaft_force,
        "physics: pressure on the shaft's section",
    ),
    Formula(
        "cavitation",
        "margin of the charge to cavitation",
        (
            _CHARGE,
            _BORE,
            _SHAFT,
            Input("speed", "shaft speed", "shaft speed"),
            Input("orifice", "open area of the piston", "small area"),
            Input("coefficient", "discharge coefficient", "ratio", "0.7"),
            Input("density", "oil density", "density", "870 kg/m3"),
        ),
        _cavitation,
        "physics: flow through an orifice",
    ),
    Formula(
        "gas-in-oil",
        "what free gas in the oil does",
        (Input("share", "free gas at one atmosphere", "percentage"), _CHARGE, _BORE, _OIL),
        _gas_in_oil,
        "physics: Boyle's law, stiffness of a mixture",
    ),
    Formula(
        "oil",
        "viscosity over temperature, grade and index",
        (
            Input("at_40", "viscosity at 40 C", "viscosity", sheet="oil_at_40c_mm2_s"),
            Input("at_100", "viscosity at 100 C", "viscosity", sheet="oil_at_100c_mm2_s"),
            Input("temperature", "temperature wanted", "temperature"),
        ),
        _oil,
        "ASTM D341 and D2270",
    ),
    Formula(
        "oil-expansion",
        "oil that warms, and the floating piston",
        (
            _BORE,
            _OIL,
            Input("temperature_before", "temperature before", "temperature", "20 C"),
            Input("temperature_after", "temperature after", "temperature", "60 C"),
        ),
        _expansion,
        "physics: thermal expansion",
    ),
    Formula(
        "crowfoot",
        "torque units and wrench setting with an adapter",
        (
            Input("torque", "torque at the thread", "torque", sheet="seal_head_torque_nm"),
            Input("wrench", "square drive to middle of the grip", "tool length", "300 mm"),
            Input("adapter", "square drive to middle of the nut", "tool length", "40 mm"),
            Input("angle", "angle of the adapter, 0 in line", "angle", "90 deg"),
        ),
        _crowfoot,
        "physics: lever arm",
    ),
    Formula(
        "preload",
        "what a torque does to a thread",
        (
            Input("torque", "torque", "torque"),
            Input("diameter", "thread diameter", "small length"),
            Input("pitch", "thread pitch", "small length"),
            Input("factor", "torque factor, 0.2 dry, 0.15 oiled", "ratio", "0.2"),
        ),
        _preload,
        "physics: torque factor, proof load of class 8.8",
    ),
    Formula(
        "o-ring",
        "squeeze, stretch and fill of an O-ring",
        (
            Input("section", "section of the ring", "small length"),
            Input("inner_diameter", "inner diameter of the ring", "stroke length"),
            Input("groove_diameter", "diameter of the groove bottom", "stroke length"),
            Input("gap", "groove depth with the gap", "small length"),
            Input("width", "groove width", "small length"),
        ),
        _o_ring,
        "physics: constant volume of the ring; usual limits from memory",
    ),
)
