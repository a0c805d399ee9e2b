"""Calculations of the air side: gas, hose, leak, trapped gas, stored energy, sag."""

from __future__ import annotations

from collections.abc import Mapping
from math import exp

from diagnose.bench import air_spring, gas, leak, setup
from diagnose.bench.air_spring import TYPICAL
from diagnose.bench.calculation import Calculation, CalculationInput, Outcome
from diagnose.bench.evidence import PictureData
from diagnose.bench.units import from_unit, render
from diagnose.errors import InputError

__all__ = ["AIR_CALCULATIONS"]

Values = Mapping[str, float]
_PSI = from_unit(1.0, "psi")
_CHARGE = from_unit(250.0, "psi")

_GAUGE = CalculationInput("gauge", "gauge pressure", "air pressure")
_VOLUME = CalculationInput("volume", "air can volume", "can volume", "100 cc")
_HOSE = CalculationInput("hose", "hose and gauge volume", "small volume", "3 cc")


def _both(pressure: float) -> str:
    return f"{render(pressure, 'psi')} ({render(pressure, 'bar')})"


def _ambient(v: Values, when: str) -> float:
    """Barometer where it was read, else the standard atmosphere at the altitude."""
    barometer = v.get(f"barometer_{when}")
    return gas.ambient_at_altitude(v[f"altitude_{when}"]) if barometer is None else barometer


def _elsewhere(v: Values) -> Outcome:
    before, after = _ambient(v, "before"), _ambient(v, "after")
    warm = gas.gauge_elsewhere(
        v["gauge"], v["temperature_before"], v["temperature_after"], before, before
    )
    there = warm + before - after
    return Outcome(
        (
            f"Temperature {render(v['temperature_before'], 'C')} to "
            f"{render(v['temperature_after'], 'C')}: {_both(warm - v['gauge'])}.",
            f"Air around it {render(before, 'hPa')} to {render(after, 'hPa')}: "
            f"{_both(before - after)}.",
            f"A tight shock at {_both(v['gauge'])} then shows {_both(there)}.",
        ),
        (("gauge", there, "psi", "pressure"),),
    )


def _hose(v: Values) -> Outcome:
    left = gas.after_connecting(v["gauge"], v["volume"], v["hose"], v["times"])
    held = gas.before_connecting(v["gauge"], v["volume"], v["hose"], v["times"])
    return Outcome(
        (
            f"Hose {render(v['hose'], 'cc')} on a chamber of {render(v['volume'], 'cc')}, "
            f"{v['times']:.0f}x.",
            f"{_both(v['gauge'])} becomes {_both(left)}: {_both(v['gauge'] - left)} to the hose.",
            f"If the gauge shows {_both(v['gauge'])} now, it held {_both(held)}.",
        ),
        (("left", left, "psi", "pressure"), ("held", held, "psi", "pressure")),
    )


def _compress(v: Values) -> Outcome:
    start = gas.absolute(v["gauge"])
    end = gas.polytropic_pressure(start, v["ratio"], v["exponent"])
    hot = gas.polytropic_temperature(v["temperature"], v["ratio"], v["exponent"])
    work = gas.polytropic_work(start, v["volume"], v["ratio"], v["exponent"])
    return Outcome(
        (
            f"Pressed to 1/{v['ratio']:.3g} of its volume, exponent {v['exponent']:.3g}.",
            f"{_both(v['gauge'])} becomes {_both(gas.gauge(end))}, gas at {render(hot, 'C')}.",
            f"It takes {render(work, 'J')}.",
        ),
        (
            ("gauge", gas.gauge(end), "psi", "pressure"),
            ("temperature", hot, "C", "temperature"),
            ("work", work, "J", "energy"),
        ),
    )


def _days(seconds: float) -> str:
    unit = "d" if seconds >= 2 * 86400 else "h" if seconds >= 2 * 3600 else "min"
    return render(seconds, unit)


def _decay_picture(v: Values, expected: float, tau: float) -> PictureData:
    hours = v["elapsed"] / 3600.0
    steps = [index * hours / 8.0 for index in range(17)]
    curve = tuple((t, v["before"] / _PSI * exp(-t * 3600.0 / tau)) for t in steps)
    return PictureData(
        title="Pressure over time",
        description=f"Falling to half in {_days(leak.half_life(tau))}.",
        x_label="time [h]",
        y_label="gauge [psi]",
        series=(
            ("read", ((0.0, v["before"] / _PSI), (hours, v["after"] / _PSI))),
            ("leak only, no temperature or hose", curve),
            ("a tight shock", ((0.0, v["before"] / _PSI), (hours, expected / _PSI))),
        ),
    )


def _leak(v: Values) -> Outcome:
    ambient = gas.STANDARD_PRESSURE
    loss = leak.explain_loss(
        v["before"],
        v["after"],
        temperature=v["temperature_before"],
        later_temperature=v["temperature_after"],
        ambient=ambient,
        later_ambient=ambient,
        volume=v["volume"],
        hose_volume=v["hose"],
        reconnections=v["reconnections"],
    )
    warm = v["temperature_after"]
    later = gas.absolute(v["after"])
    rates = [
        leak.standard_rate(
            later + loss.rest, later, warm, warm, v["volume"], v["elapsed"], reference
        )
        for reference in (gas.STANDARD_TEMPERATURE, 293.15)
    ]
    first = (
        f"{_both(loss.total)} gone: hose {render(loss.hose, 'psi')}, temperature "
        f"{render(loss.temperature, 'psi')}, unexplained {render(loss.rest, 'psi')}."
    )
    values: tuple[tuple[str, float, str, str], ...] = (
        ("unexplained", loss.rest, "psi", "pressure"),
        ("leak_rate", rates[0], "std cc/min", "leak rate"),
    )
    if not loss.rest > 0 or v["after"] <= 0:
        return Outcome((first, "No leak is left to compute a half-life from."), values)
    rate = (
        f"Leak {render(rates[0], 'std cc/min')} (0 C, 101.325 kPa), or "
        f"{rates[1] / rates[0]:.3f} times that number at a 20 C reference."
    )
    tau = leak.decay_constant(loss.expected, v["after"], v["elapsed"])
    half = leak.half_life(tau)
    until = leak.time_to_gauge(v["before"], v["limit"], tau)
    fast, slow = _shapes(v["before"], v["limit"], tau)
    last = (
        f"Half gone in {_days(half)}; from {render(v['before'], 'psi')} down to "
        f"{render(v['limit'], 'psi')} in {_days(until)} ({_days(fast)} to {_days(slow)}, by the "
        "shape of the leak)."
    )
    values += (
        ("half_life", half, "h", "time"),
        ("time_to_limit", until, "d", "time"),
        ("conductance", leak.conductance(v["volume"], tau), "std cc/s", "leak rate"),
    )
    return Outcome((first, rate, last), values, _decay_picture(v, loss.expected, tau))


def _shapes(start: float, limit: float, tau: float) -> tuple[float, float]:
    """Shortest and longest time [s] to the limit for leaks with the same first slope."""
    if limit >= start:
        return 0.0, 0.0
    slope = start / tau
    high, low = gas.absolute(start), gas.absolute(limit)
    ambient = gas.STANDARD_PRESSURE
    times = [leak.time_to_gauge(start, limit, tau)]
    times.append(leak.laminar_time(high, low, slope / (high**2 - ambient**2)))
    if low >= 1.893 * ambient:
        times.append(leak.choked_time(high, low, high / slope))
    return min(times), max(times)


def _leak_limit(v: Values) -> Outcome:
    pressure = gas.absolute(v["gauge"])
    setting = (v["volume"], v["resolution"])
    gas_state = (pressure, v["temperature"], v["drift"])
    lowest = leak.smallest_leak(*setting, v["elapsed"], *gas_state)
    wait = leak.wait_for_leak(v["leak"], *setting, *gas_state)
    return Outcome(
        (
            f"A gauge of {render(v['resolution'], 'psi')} steps and {_days(v['elapsed'])} show no "
            f"leak below {render(lowest, 'std cc/min')} (k = 2).",
            f"A leak of {render(v['leak'], 'std cc/min')} shows after {_days(wait)}.",
            f"A bubble test is {lowest / leak.BUBBLE_LIMIT:.0f} times finer, but only says yes "
            "or no.",
        ),
        (
            ("smallest_leak", lowest, "std cc/min", "leak rate"),
            ("wait", wait, "h", "time"),
        ),
    )


def _bubble(v: Values) -> Outcome:
    rate = leak.bubble_rate(v["diameter"], v["period"])
    state = gas.absolute(v["gauge"]), 293.15
    drop = from_unit(10.0, "psi")
    time = leak.time_to_lose(drop, rate, v["volume"], state[1])
    return Outcome(
        (
            f"One bubble of {render(v['diameter'], 'mm')} every {render(v['period'], 's')} is "
            f"{render(rate, 'std cc/min')} at the pressure around it.",
            f"From {_both(v['gauge'])} it takes {_days(time)} to lose 10 psi that way.",
        ),
        (("rate", rate, "std cc/min", "leak rate"), ("time_to_lose_10_psi", time, "h", "time")),
    )


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


def _stuck(v: Values) -> Outcome:
    share = v["shortfall"] / v["stroke"]
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
    ambient = gas.STANDARD_PRESSURE
    charged = gas.absolute(v["charge"])
    here = air_spring.charge_at(TYPICAL, x, charged)
    held = gas.absolute(v["gauge"])
    behind = air_spring.negative_from_balance(TYPICAL, held, here)
    normal = air_spring.negative_at(TYPICAL, x, gas.absolute(v["usual"]))
    snap = -air_spring.axial_force(TYPICAL, ambient, behind, here)
    needed = air_spring.return_gauge(TYPICAL, x, behind, charged)
    energy = air_spring.isentropic_energy(behind, TYPICAL.negative_volume_at(x))
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
            f"On a typical shock {_both(gas.gauge(behind))} stands behind the piston, "
            f"{behind / normal:.1f}x what a normal transfer leaves; one vented at full length "
            f"rests {render(rest, 'mm')} of {render(TYPICAL.stroke, 'mm')} in.",
            f"Let the air out and it pulls with {render(snap, 'N')}; {render(energy, 'J')} are "
            "stored there. A model without friction, no limit of what can happen.",
            f"To come out it takes {_both(needed)}: it {outcome}.",
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


def _energy(v: Values) -> Outcome:
    pressure, volume = gas.absolute(v["gauge"]), v["volume"]
    sudden = air_spring.isentropic_energy(pressure, volume)
    most = max(
        air_spring.blast_energy(pressure, volume), air_spring.isothermal_energy(pressure, volume)
    )
    useful = air_spring.availability_energy(pressure, volume)
    return Outcome(
        (
            f"{render(volume, 'cc')} at {_both(v['gauge'])} hold {render(sudden, 'J')} for a "
            "sudden release.",
            f"The most cautious formula says {render(most, 'J')}.",
            f"As a hammer of 1 kg falling from {render(air_spring.drop_height(sudden), 'm')}: "
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


def _sag(v: Values) -> Outcome:
    load = setup.shock_load(v["mass"], v["rear_share"], v["leverage"])
    charged = gas.absolute(_CHARGE)
    set_pressure = gas.absolute(v["set_pressure"])
    x = air_spring.stroke_under(TYPICAL, load, set_pressure, charged)
    share = setup.sag(x, TYPICAL.stroke)
    wanted = air_spring.set_pressure_for(TYPICAL, load, v["wanted"] * TYPICAL.stroke, charged)
    rate = air_spring.spring_rate(TYPICAL, x, set_pressure, charged)
    wheel = setup.wheel_travel(share * v["stroke"], v["leverage"])
    return Outcome(
        (
            f"The rider puts {render(load, 'N')} on the shock.",
            f"A typical shock at {_both(v['set_pressure'])} sags {share * 100:.0f} %: "
            f"{render(share * v['stroke'], 'mm')} of {render(v['stroke'], 'mm')}, "
            f"{render(wheel, 'mm')} at the wheel; rate there {render(rate, 'N/mm')}.",
            f"For {v['wanted'] * 100:.0f} % it takes about {_both(gas.gauge(wanted))}; set it by "
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


def _spring(v: Values) -> Outcome:
    charged, set_pressure = gas.absolute(_CHARGE), gas.absolute(v["set_pressure"])
    x = v["used"] / v["stroke"] * TYPICAL.stroke
    force = air_spring.spring_force(TYPICAL, x, set_pressure, charged, v["exponent"])
    full = air_spring.spring_force(
        TYPICAL, TYPICAL.stroke, set_pressure, charged, v["exponent"]
    )
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


def _leverage(v: Values) -> Outcome:
    ratio = setup.average_leverage(v["wheel_travel"], v["stroke"])
    return Outcome(
        (f"{render(v['wheel_travel'], 'mm')} of wheel travel over {render(v['stroke'], 'mm')} of "
         f"stroke: mean leverage {ratio:.2f}.",),
        (("leverage", ratio, "1", "ratio"),),
    )


_In = CalculationInput
_STROKE = _In("stroke", "stroke", "stroke length", "50 mm")

AIR_CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "elsewhere", "gauge at another temperature, altitude or weather",
        (
            _GAUGE,
            _In("temperature_before", "temperature before", "temperature", "20 C"),
            _In("temperature_after", "temperature after", "temperature", "20 C"),
            _In("altitude_before", "altitude before", "altitude", "0 m"),
            _In("altitude_after", "altitude after", "altitude", "0 m"),
            _In("barometer_before", "barometer before", "ambient pressure", ""),
            _In("barometer_after", "barometer after", "ambient pressure", ""),
        ),
        _elsewhere,
    ),
    Calculation(
        "hose", "what putting the pump on takes",
        (_GAUGE, _VOLUME, _HOSE, _In("times", "times connected", "clicks", "1")),
        _hose,
    ),
    Calculation(
        "compress", "pressure and heat of a compressed chamber",
        (
            _GAUGE,
            _In("ratio", "volume before over volume after", "ratio"),
            _In("exponent", "exponent, 1 slow to 1.4 fast", "exponent", "1.3"),
            _In("temperature", "temperature before", "temperature", "20 C"),
            _VOLUME,
        ),
        _compress,
    ),
    Calculation(
        "leak", "leak rate, half-life and days until too low",
        (
            _In("before", "gauge at the start", "air pressure"),
            _In("after", "gauge at the end", "air pressure"),
            _In("elapsed", "time between", "elapsed time"),
            _In("limit", "lowest pressure worth riding", "air pressure"),
            _VOLUME,
            _HOSE,
            _In("reconnections", "times connected after the first reading", "clicks", "1"),
            _In("temperature_before", "temperature before", "temperature", "20 C"),
            _In("temperature_after", "temperature after", "temperature", "20 C"),
        ),
        _leak,
    ),
    Calculation(
        "leak-limit", "smallest leak a gauge can show, and how long to wait",
        (
            _GAUGE,
            _In("elapsed", "time between", "elapsed time"),
            _In("resolution", "smallest step of the gauge", "air pressure", "1 psi"),
            _In("drift", "temperature drift, half-width", "temperature drift", "0.5 K"),
            _In("temperature", "temperature", "temperature", "20 C"),
            _In("leak", "leak to be seen", "leak rate", "0.5 std cc/min"),
            _VOLUME,
        ),
        _leak_limit,
    ),
    Calculation(
        "bubble", "size of a leak from its bubbles",
        (
            _In("diameter", "bubble diameter", "small length"),
            _In("period", "time between bubbles", "short time"),
            _In("gauge", "gauge pressure", "air pressure", "165 psi"),
            _VOLUME,
        ),
        _bubble,
    ),
    Calculation(
        "stuck", "stuck short: gas behind the piston and what it would take",
        (
            _GAUGE,
            _In("shortfall", "how much shorter than marked", "stroke length"),
            _STROKE,
            _In("usual", "usual set pressure", "air pressure"),
            _In("maximum", "marked maximum pressure", "air pressure"),
            _In("charge", "gas charge of the damper", "charge pressure", "250 psi"),
        ),
        _stuck,
    ),
    Calculation("energy", "energy stored in a chamber", (_GAUGE, _VOLUME), _energy),
    Calculation(
        "sag", "sag from rider and pressure, and the pressure for a sag",
        (
            _In("mass", "rider with kit", "rider mass"),
            _In("leverage", "leverage ratio at sag", "leverage"),
            _In("set_pressure", "set pressure", "air pressure"),
            _In("wanted", "sag wanted", "percentage", "30 %"),
            _In("rear_share", "share of the mass on the rear wheel", "percentage", "60 %"),
            _STROKE,
        ),
        _sag,
    ),
    Calculation(
        "spring", "spring force and travel in reserve",
        (
            _In("set_pressure", "set pressure", "air pressure"),
            _In("used", "stroke used", "stroke length"),
            _STROKE,
            _In("exponent", "exponent, 1 slow to 1.4 fast", "exponent", "1"),
        ),
        _spring,
    ),
    Calculation(
        "leverage", "mean leverage ratio",
        (_In("wheel_travel", "wheel travel", "tool length"), _STROKE),
        _leverage,
    ),
)
