"""Formulas of the air side: gas, hose, compression, leak."""

from __future__ import annotations

from diagnose.bench import gas, leak
from diagnose.bench.formula import Formula, Outcome, PictureData, both
from diagnose.bench.given import HOSE, VOLUME, Given, Input
from diagnose.bench.units import PSI, from_unit, render

__all__ = ["AIR_FORMULAS"]

_LEAST = 1.0  # Pa; less than that is rounding, not a leak

_GAUGE = Input("gauge", "gauge pressure", "air pressure")


def _ambient(v: Given, when: str) -> float:
    """Barometer where it was read, else the standard atmosphere at the altitude."""
    barometer = v.get(f"barometer_{when}")
    return gas.ambient_at_altitude(v[f"altitude_{when}"]) if barometer is None else barometer


def _elsewhere(v: Given) -> Outcome:
    before, after = _ambient(v, "before"), _ambient(v, "after")
    warm = gas.gauge_elsewhere(
        v["gauge"], v["temperature_before"], v["temperature_after"], before, before
    )
    there = warm + before - after
    return Outcome(
        (
            f"Temperature {render(v['temperature_before'], 'C')} to "
            f"{render(v['temperature_after'], 'C')}: {both(warm - v['gauge'])}.",
            f"Air around it {render(before, 'hPa')} to {render(after, 'hPa')}: "
            f"{both(before - after)}.",
            f"A tight shock at {both(v['gauge'])} then shows {both(there)}.",
        ),
        (("gauge", there, "psi", "pressure"),),
    )


def _hose(v: Given) -> Outcome:
    left = gas.after_connecting(v["gauge"], v["volume"], v["hose"], v["times"])
    held = gas.before_connecting(v["gauge"], v["volume"], v["hose"], v["times"])
    return Outcome(
        (
            f"Hose {render(v['hose'], 'cc')} on a chamber of {render(v['volume'], 'cc')}, "
            f"{v['times']:.0f}x.",
            f"{both(v['gauge'])} becomes {both(left)}: {both(v['gauge'] - left)} to the hose.",
            f"If the gauge shows {both(v['gauge'])} now, it held {both(held)}.",
        ),
        (("left", left, "psi", "pressure"), ("held", held, "psi", "pressure")),
    )


def _compress(v: Given) -> Outcome:
    start = gas.absolute(v["gauge"])
    end = gas.polytropic_pressure(start, v["ratio"], v["exponent"])
    hot = gas.polytropic_temperature(v["temperature"], v["ratio"], v["exponent"])
    work = gas.polytropic_work(start, v["volume"], v["ratio"], v["exponent"])
    return Outcome(
        (
            f"Pressed to 1/{v['ratio']:.3g} of its volume, exponent {v['exponent']:.3g}.",
            f"{both(v['gauge'])} becomes {both(gas.gauge(end))}, gas at {render(hot, 'C')}.",
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


def _decay_picture(v: Given, expected: float, tau: float) -> PictureData:
    hours = v["elapsed"] / 3600.0
    steps = [index * hours / 8.0 for index in range(17)]
    curve = tuple((t, leak.gauge_after(v["before"], tau, t * 3600.0) / PSI) for t in steps)
    return PictureData(
        title="Pressure over time",
        description=f"Falling to half in {_days(leak.half_life(tau))}.",
        x_label="time [h]",
        y_label="gauge [psi]",
        series=(
            ("read", ((0.0, v["before"] / PSI), (hours, v["after"] / PSI))),
            ("leak only, no temperature or hose", curve),
            ("a tight shock", ((0.0, v["before"] / PSI), (hours, expected / PSI))),
        ),
    )


def _leak(v: Given) -> Outcome:
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
        f"{both(loss.total)} gone: hose {render(loss.hose, 'psi')}, temperature "
        f"{render(loss.temperature, 'psi')}, unexplained {render(loss.rest, 'psi')}."
    )
    values: tuple[tuple[str, float, str, str], ...] = (
        ("unexplained", loss.rest, "psi", "pressure"),
        ("leak_rate", rates[0], "std cc/min", "leak rate"),
    )
    if loss.rest < _LEAST or v["after"] <= 0:
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
    if low >= leak.CHOKED * ambient:
        times.append(leak.choked_time(high, low, high / slope))
    return min(times), max(times)


def _leak_limit(v: Given) -> Outcome:
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


def _bubble(v: Given) -> Outcome:
    rate = leak.bubble_rate(v["diameter"], v["period"])
    state = gas.absolute(v["gauge"]), 293.15
    drop = from_unit(10.0, "psi")
    time = leak.time_to_lose(drop, rate, v["volume"], state[1])
    return Outcome(
        (
            f"One bubble of {render(v['diameter'], 'mm')} every {render(v['period'], 's')} is "
            f"{render(rate, 'std cc/min')} at the pressure around it.",
            f"From {both(v['gauge'])} it takes {_days(time)} to lose 10 psi that way.",
        ),
        (("rate", rate, "std cc/min", "leak rate"), ("time_to_lose_10_psi", time, "h", "time")),
    )


AIR_FORMULAS: tuple[Formula, ...] = (
    Formula(
        "elsewhere",
        "gauge at another temperature, altitude or weather",
        (
            _GAUGE,
            Input("temperature_before", "temperature before", "temperature", "20 C"),
            Input("temperature_after", "temperature after", "temperature", "20 C"),
            Input("altitude_before", "altitude before", "altitude", "0 m"),
            Input("altitude_after", "altitude after", "altitude", "0 m"),
            Input("barometer_before", "barometer before", "ambient pressure", ""),
            Input("barometer_after", "barometer after", "ambient pressure", ""),
        ),
        _elsewhere,
        "physics: gas law at constant volume, standard atmosphere",
    ),
    Formula(
        "hose",
        "what putting the pump on takes",
        (_GAUGE, VOLUME, HOSE, Input("times", "times connected", "connections", "1")),
        _hose,
        "physics: Boyle's law",
    ),
    Formula(
        "compress",
        "pressure and heat of a compressed chamber",
        (
            _GAUGE,
            Input("ratio", "volume before over volume after", "ratio"),
            Input("exponent", "exponent, 1 slow to 1.4 fast", "exponent", "1.3"),
            Input("temperature", "temperature before", "temperature", "20 C"),
            VOLUME,
        ),
        _compress,
        "physics: polytropic gas",
    ),
    Formula(
        "leak",
        "leak rate, half-life and days until too low",
        (
            Input("before", "gauge at the start", "air pressure"),
            Input("after", "gauge at the end", "air pressure"),
            Input("elapsed", "time between", "elapsed time"),
            Input("limit", "lowest pressure worth riding", "air pressure"),
            VOLUME,
            HOSE,
            Input("reconnections", "times connected after the first reading", "connections", "1"),
            Input("temperature_before", "temperature before", "temperature", "20 C"),
            Input("temperature_after", "temperature after", "temperature", "20 C"),
        ),
        _leak,
        "physics: gas law, leak in proportion to the gauge",
    ),
    Formula(
        "leak-limit",
        "smallest leak a gauge can show, and how long to wait",
        (
            _GAUGE,
            Input("elapsed", "time between", "elapsed time"),
            Input("resolution", "smallest step of the gauge", "air pressure", "1 psi"),
            Input("drift", "temperature drift, half-width", "temperature drift", "0.5 K"),
            Input("temperature", "temperature", "temperature", "20 C"),
            Input("leak", "leak to be seen", "leak rate", "0.5 std cc/min"),
            VOLUME,
        ),
        _leak_limit,
        "GUM (JCGM 100:2008), k = 2",
    ),
    Formula(
        "bubble",
        "size of a leak from its bubbles",
        (
            Input("diameter", "bubble diameter", "small length"),
            Input("period", "time between bubbles", "short time"),
            Input("gauge", "gauge pressure", "air pressure", "165 psi"),
            VOLUME,
        ),
        _bubble,
        "physics: volume of a sphere",
    ),
)
