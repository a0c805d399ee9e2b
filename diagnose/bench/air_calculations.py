"""Calculations of the air side: gas, hose, compression, leak."""

from __future__ import annotations

from collections.abc import Mapping
from math import exp

from diagnose.bench import gas, leak
from diagnose.bench.calculation import Calculation, CalculationInput, Outcome, both
from diagnose.bench.evidence import PictureData
from diagnose.bench.units import from_unit, render

__all__ = ["AIR_CALCULATIONS"]

Values = Mapping[str, float]
_PSI = from_unit(1.0, "psi")
_LEAST = 1.0  # Pa; less than that is rounding, not a leak

_GAUGE = CalculationInput("gauge", "gauge pressure", "air pressure")
_VOLUME = CalculationInput("volume", "air can volume", "can volume", "100 cc", "air_can_volume_cc")
_HOSE = CalculationInput("hose", "hose and gauge volume", "hose volume", "3 cc", "hose_volume_cc")


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
            f"{render(v['temperature_after'], 'C')}: {both(warm - v['gauge'])}.",
            f"Air around it {render(before, 'hPa')} to {render(after, 'hPa')}: "
            f"{both(before - after)}.",
            f"A tight shock at {both(v['gauge'])} then shows {both(there)}.",
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
            f"{both(v['gauge'])} becomes {both(left)}: {both(v['gauge'] - left)} to the hose.",
            f"If the gauge shows {both(v['gauge'])} now, it held {both(held)}.",
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
            f"From {both(v['gauge'])} it takes {_days(time)} to lose 10 psi that way.",
        ),
        (("rate", rate, "std cc/min", "leak rate"), ("time_to_lose_10_psi", time, "h", "time")),
    )


_In = CalculationInput

AIR_CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "elsewhere",
        "gauge at another temperature, altitude or weather",
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
        "hose",
        "what putting the pump on takes",
        (_GAUGE, _VOLUME, _HOSE, _In("times", "times connected", "connections", "1")),
        _hose,
    ),
    Calculation(
        "compress",
        "pressure and heat of a compressed chamber",
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
        "leak",
        "leak rate, half-life and days until too low",
        (
            _In("before", "gauge at the start", "air pressure"),
            _In("after", "gauge at the end", "air pressure"),
            _In("elapsed", "time between", "elapsed time"),
            _In("limit", "lowest pressure worth riding", "air pressure"),
            _VOLUME,
            _HOSE,
            _In("reconnections", "times connected after the first reading", "connections", "1"),
            _In("temperature_before", "temperature before", "temperature", "20 C"),
            _In("temperature_after", "temperature after", "temperature", "20 C"),
        ),
        _leak,
    ),
    Calculation(
        "leak-limit",
        "smallest leak a gauge can show, and how long to wait",
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
        "bubble",
        "size of a leak from its bubbles",
        (
            _In("diameter", "bubble diameter", "small length"),
            _In("period", "time between bubbles", "short time"),
            _In("gauge", "gauge pressure", "air pressure", "165 psi"),
            _VOLUME,
        ),
        _bubble,
    ),
)
