"""Formulas of the air spring: stuck short, stored energy, sag, force, leverage."""

from __future__ import annotations

from diagnose.bench import air_spring, gas, setup, stored_energy
from diagnose.bench.air_spring import TYPICAL
from diagnose.bench.formula import Formula, Outcome, PictureData, both
from diagnose.bench.given import VOLUME, Given, Input
from diagnose.bench.marked import require_within_maximum
from diagnose.bench.units import render
from diagnose.errors import InputError

__all__ = ["SPRING_FORMULAS"]


def _stuck_picture(amount: float, usual: float, charged: float, snap: float) -> PictureData:
    """Force once vented, with `amount` [Pa m3] of gas behind the piston and with the usual one."""
    normal = gas.absolute(usual) * TYPICAL.negative_volume_at(TYPICAL.transfer)
    length = TYPICAL.stroke - TYPICAL.transfer
    points = [TYPICAL.transfer + index * length / 20 for index in range(21)]

    def force(x: float, held: float) -> float:
        behind = held / TYPICAL.negative_volume_at(x)
        here = air_spring.charge_at(TYPICAL, x, charged)
        return air_spring.axial_force(TYPICAL, gas.STANDARD_PRESSURE, behind, here)

    return PictureData(
        title="Force over stroke, air let out",
        description=f"With the gas it has, a typical shock pulls with {snap:.0f} N once vented.",
        x_label="stroke [mm]",
        y_label="force out [N]",
        series=(
            ("with the gas behind this piston", tuple((x * 1e3, force(x, amount)) for x in points)),
            ("vented at full length", tuple((x * 1e3, force(x, normal)) for x in points)),
        ),
    )


def _stuck(v: Given) -> Outcome:
    share = setup.sag(v["shortfall"], v["stroke"])
    if share > 1.0:
        raise InputError(
            "It cannot be shorter than its whole stroke.",
            where="shortfall",
            next_step="Measure the length again and check the stroke.",
        )
    x = share * TYPICAL.stroke
    if x <= TYPICAL.transfer:
        raise InputError(
            "So near full length the force balance says nothing about trapped gas.",
            where="shortfall",
            next_step="Nothing is computed; treat the chambers as pressurised all the same.",
        )
    require_within_maximum(v["gauge"], v["maximum"], "gauge")
    ambient = gas.STANDARD_PRESSURE
    charged = gas.absolute(v["charge"])
    here = air_spring.charge_at(TYPICAL, x, charged)
    held = gas.absolute(v["gauge"])
    behind = air_spring.negative_from_balance(TYPICAL, held, here)
    normal = air_spring.negative_at(TYPICAL, x, gas.absolute(v["usual"]))
    snap = -air_spring.axial_force(TYPICAL, ambient, behind, here)
    needed = air_spring.return_gauge(TYPICAL, x, behind, charged)
    energy = stored_energy.isentropic(behind, TYPICAL.negative_volume_at(x))
    verdict = air_spring.reextension(needed, v["usual"], v["maximum"])
    rest = air_spring.rest_position(TYPICAL, ambient, gas.absolute(v["usual"]), charged)
    outcome = {
        "within usual pressure": "could come out within the usual pressure; a jam cannot be "
        "computed, so only a trained person tries, guarded",
        "within marked maximum": "would need more than the usual pressure: do not open",
        "do not open": "would need more than the marked maximum: do not open",
    }[verdict]
    return Outcome(
        (
            f"On a typical shock {both(gas.gauge(behind))} stands behind the piston, "
            f"{behind / normal:.1f}x what a normal transfer leaves; one vented at full length "
            f"rests {render(rest, 'mm')} of {render(TYPICAL.stroke, 'mm')} in.",
            f"Let the air out and it pulls with {render(snap, 'N')}; {render(energy, 'J')} are "
            "stored there. A model without friction, no limit of what can happen.",
            f"To come out it takes {both(needed)}: it {outcome}.",
        ),
        (
            ("negative_gauge", gas.gauge(behind), "psi", "pressure"),
            ("amount_ratio", behind / normal, "1", "ratio"),
            ("pull_when_vented", snap, "N", "force"),
            ("gauge_to_return", needed, "psi", "pressure"),
            ("stored_energy", energy, "J", "energy"),
        ),
        _stuck_picture(behind * TYPICAL.negative_volume_at(x), v["usual"], charged, snap),
    )


def _energy(v: Given) -> Outcome:
    pressure, volume = gas.absolute(v["gauge"]), v["volume"]
    sudden = stored_energy.isentropic(pressure, volume)
    most = max(stored_energy.blast(pressure, volume), stored_energy.isothermal(pressure, volume))
    useful = stored_energy.availability(pressure, volume)
    return Outcome(
        (
            f"{render(volume, 'cc')} at {both(v['gauge'])} hold {render(sudden, 'J')} for a "
            "sudden release.",
            f"The most cautious formula says {render(most, 'J')}.",
            f"As a hammer of 1 kg falling from {render(stored_energy.drop_height(sudden), 'm')}: "
            "what flies off is the danger.",
        ),
        (
            ("sudden", sudden, "J", "energy"),
            ("cautious", most, "J", "energy"),
            ("availability", useful, "J", "energy"),
        ),
    )


def _force_picture(set_pressure: float, charged: float, load: float) -> PictureData:
    points = [index * TYPICAL.stroke / 25 for index in range(26)]
    curve = tuple(
        (x * 1e3, air_spring.spring_force(TYPICAL, x, set_pressure, charged)) for x in points
    )
    return PictureData(
        title="Force over stroke",
        description=f"Spring force of a typical shock, rider load {load:.0f} N.",
        x_label="stroke [mm]",
        y_label="force [N]",
        series=(
            ("spring", curve),
            ("rider", ((0.0, load), (TYPICAL.stroke * 1e3, load))),
        ),
    )


def _sag(v: Given) -> Outcome:
    load = setup.shock_load(v["mass"], v["rear_share"], v["leverage"])
    charged = gas.absolute(air_spring.TYPICAL_CHARGE)
    set_pressure = gas.absolute(v["set_pressure"])
    x = air_spring.stroke_under(TYPICAL, load, set_pressure, charged)
    share = setup.sag(x, TYPICAL.stroke)
    wanted = air_spring.set_pressure_for(TYPICAL, load, v["wanted"] * TYPICAL.stroke, charged)
    rate = air_spring.spring_rate(TYPICAL, x, set_pressure, charged)
    wheel = setup.wheel_travel(share * v["stroke"], v["leverage"])
    return Outcome(
        (
            f"The rider puts {render(load, 'N')} on the shock.",
            f"A typical shock at {both(v['set_pressure'])} sags {share * 100:.0f} %: "
            f"{render(share * v['stroke'], 'mm')} of {render(v['stroke'], 'mm')}, "
            f"{render(wheel, 'mm')} at the wheel; rate there {render(rate, 'N/mm')}.",
            f"For {v['wanted'] * 100:.0f} % it takes about {both(gas.gauge(wanted))}; set it by "
            "measuring, the shock's own volume is not in this.",
        ),
        (
            ("load", load, "N", "force"),
            ("sag", share, "%", "ratio"),
            ("set_pressure", gas.gauge(wanted), "psi", "pressure"),
            ("rate", rate, "N/mm", "rate"),
        ),
        _force_picture(set_pressure, charged, load),
    )


def _spring(v: Given) -> Outcome:
    charged, set_pressure = gas.absolute(air_spring.TYPICAL_CHARGE), gas.absolute(v["set_pressure"])
    x = setup.sag(v["used"], v["stroke"]) * TYPICAL.stroke
    force = air_spring.spring_force(TYPICAL, x, set_pressure, charged, v["exponent"])
    full = air_spring.spring_force(TYPICAL, TYPICAL.stroke, set_pressure, charged, v["exponent"])
    left = setup.reserve(v["used"], v["stroke"])
    return Outcome(
        (
            f"At {render(v['used'], 'mm')} of {render(v['stroke'], 'mm')} a typical shock carries "
            f"{render(force, 'N')}.",
            f"{render(left, 'mm')} are left; the end takes {render(full, 'N')}.",
        ),
        (
            ("force", force, "N", "force"),
            ("reserve", left, "mm", "length"),
            ("force_at_end", full, "N", "force"),
        ),
        _force_picture(set_pressure, charged, force),
    )


def _leverage(v: Given) -> Outcome:
    ratio = setup.average_leverage(v["wheel_travel"], v["stroke"])
    return Outcome(
        (
            f"{render(v['wheel_travel'], 'mm')} of wheel travel over"
            f" {render(v['stroke'], 'mm')} of stroke: mean leverage {ratio:.2f}.",
        ),
        (("leverage", ratio, "1", "ratio"),),
    )


_GAUGE = Input("gauge", "gauge pressure", "air pressure")
_STROKE = Input("stroke", "stroke", "stroke", "50 mm", "stroke_mm")

SPRING_FORMULAS: tuple[Formula, ...] = (
    Formula(
        "stuck",
        "stuck short: gas behind the piston and what it would take",
        (
            _GAUGE,
            Input("shortfall", "how much shorter than marked", "stroke length"),
            _STROKE,
            Input("usual", "usual set pressure", "usual pressure", sheet="set_pressure_psi"),
            Input(
                "maximum",
                "marked maximum pressure",
                "maximum pressure",
                sheet="maximum_pressure_psi",
            ),
            Input(
                "charge",
                "gas charge of the damper",
                "charge pressure",
                sheet="charge_psi",
                typical=True,
            ),
        ),
        _stuck,
        "physics: force balance of a typical shock, no friction",
    ),
    Formula(
        "energy",
        "energy stored in a chamber",
        (_GAUGE, VOLUME),
        _energy,
        "physics: isentropic release; the cautious one by Brode",
    ),
    Formula(
        "sag",
        "sag from rider and pressure, and the pressure for a sag",
        (
            Input("mass", "rider with kit", "rider mass"),
            Input("leverage", "leverage ratio at sag", "leverage"),
            Input("set_pressure", "set pressure", "usual pressure", sheet="set_pressure_psi"),
            Input("wanted", "sag wanted", "percentage", sheet="wanted_sag_percent", typical=True),
            Input("rear_share", "share of the mass on the rear wheel", "percentage", "60 %"),
            _STROKE,
        ),
        _sag,
        "physics: force balance of a typical shock",
    ),
    Formula(
        "spring",
        "spring force and travel in reserve",
        (
            Input("set_pressure", "set pressure", "usual pressure", sheet="set_pressure_psi"),
            Input("used", "stroke used", "stroke length"),
            _STROKE,
            Input("exponent", "exponent, 1 slow to 1.4 fast", "exponent", "1"),
        ),
        _spring,
        "physics: force balance of a typical shock",
    ),
    Formula(
        "leverage",
        "mean leverage ratio",
        (Input("wheel_travel", "wheel travel", "wheel travel"), _STROKE),
        _leverage,
        "definition",
    ),
)
