"""Leak-down: rate, half-life, what a gauge can show at all, and what explains a loss.

Pressures are absolute [Pa] unless a name says gauge. A standard volume is at 0 C and 101.325 kPa
unless another reference is passed: at 20 C the same leak has a number 7.3 % larger.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atanh, exp, log, pi, sqrt

from diagnose.bench.gas import (
    STANDARD_PRESSURE,
    STANDARD_TEMPERATURE,
    absolute,
    after_connecting,
    at_temperature,
    require_positive,
)
from diagnose.errors import InputError

__all__ = [
    "BUBBLE_LIMIT",
    "CHOKED",
    "Loss",
    "bubble_rate",
    "choked_time",
    "conductance",
    "decay_constant",
    "explain_loss",
    "gauge_after",
    "half_life",
    "laminar_time",
    "resolution_uncertainty",
    "smallest_leak",
    "standard_rate",
    "time_to_gauge",
    "time_to_lose",
    "wait_for_leak",
]

CHOKED = 1.893
"""Least ratio of pressures at which air leaves at the speed of sound: ((g+1)/2)^(g/(g-1))."""

BUBBLE_LIMIT = 1e-11
"""Smallest leak that a bubble test shows [std m3/s], 1e-5 std cm3/s: scope of ASTM E515."""


def _later(elapsed: float) -> None:
    if not elapsed > 0:
        raise InputError(
            "The second reading is not later than the first.",
            next_step="Give the time that passed from the first reading to the second.",
        )


def standard_rate(
    pressure: float,
    later_pressure: float,
    temperature: float,
    later_temperature: float,
    volume: float,
    elapsed: float,
    reference_temperature: float = STANDARD_TEMPERATURE,
) -> float:
    """Leak rate [std m3/s] from two readings of one closed chamber.

    Q = V (T_std/p_std) (p1/T1 - p2/T2)/dt

    Parameters
    ----------
    pressure, later_pressure : [Pa absolute].
    temperature, later_temperature : of the gas [K].
    volume : of the chamber [m3].
    elapsed : [s].
    reference_temperature : of the standard volume [K].

    Raises
    ------
    InputError : no time passed, or a value not above zero.

    Source: mole balance as in 40 CFR 1065.644, Eq. 1065.644-1.

    >>> rate = standard_rate(1480276.5, 1411328.9, 293.15, 293.15, 1e-4, 600.0)
    >>> round(rate * 60e6, 2)
    6.34
    """
    _later(elapsed)
    require_positive(volume, "volume")
    require_positive(temperature, "absolute temperature")
    require_positive(later_temperature, "absolute temperature")
    lost = pressure / temperature - later_pressure / later_temperature
    return volume * reference_temperature / STANDARD_PRESSURE * lost / elapsed


def time_to_lose(gauge_drop: float, rate: float, volume: float, temperature: float) -> float:
    """Time [s] in which a constant leak `rate` [std m3/s] takes `gauge_drop` [Pa] from a chamber.

    Source: `standard_rate` solved for the time.

    >>> round(time_to_lose(68947.57, 1e-6 / 60, 1e-4, 293.15) / 60, 1)
    63.4
    """
    require_positive(rate, "leak rate")
    require_positive(temperature, "absolute temperature")
    return volume * STANDARD_TEMPERATURE / STANDARD_PRESSURE * gauge_drop / temperature / rate


def decay_constant(gauge_pressure: float, later_gauge: float, elapsed: float) -> float:
    """Time constant tau [s] of a leak whose flow goes with the gauge pressure [Pa].

    tau = t/ln(p_g1/p_g2)

    Raises
    ------
    InputError : no time passed, or the later pressure is not between zero and the earlier one.

    Source: first-order decay.

    >>> round(decay_constant(200.0, 100.0, 3600.0))
    5194
    """
    _later(elapsed)
    if not 0 < later_gauge < gauge_pressure:
        raise InputError(
            "A half-life needs a later gauge pressure that is lower, but above zero.",
            next_step="Take both readings before the chamber is empty, at one temperature.",
        )
    return elapsed / log(gauge_pressure / later_gauge)


def gauge_after(gauge_pressure: float, tau: float, elapsed: float) -> float:
    """Gauge pressure [Pa] after `elapsed` [s]: p_g exp(-t/tau).

    Source: first-order decay.

    >>> round(gauge_after(200.0, 3600.0, 3600.0), 2)
    73.58
    """
    require_positive(tau, "time constant")
    return gauge_pressure * exp(-elapsed / tau)


def time_to_gauge(gauge_pressure: float, limit: float, tau: float) -> float:
    """Time [s] until the gauge pressure [Pa] has fallen to `limit` [Pa]: tau ln(p_g/p_limit).

    Zero if it is already there. With the lowest pressure worth riding this is 'days to unrideable'.

    Source: first-order decay.

    >>> round(time_to_gauge(200.0, 100.0, 3600.0))
    2495
    """
    require_positive(tau, "time constant")
    require_positive(limit, "lowest pressure")
    return tau * log(gauge_pressure / limit) if gauge_pressure > limit else 0.0


def half_life(tau: float) -> float:
    """Time [s] in which the gauge pressure halves: tau ln 2.

    Source: first-order decay.

    >>> round(half_life(3600.0))
    2495
    """
    require_positive(tau, "time constant")
    return tau * log(2.0)


def conductance(volume: float, tau: float) -> float:
    """Conductance [m3/s] of the leak of a chamber [m3] with time constant `tau` [s]: V/tau.

    Source: first-order decay.

    >>> round(conductance(1e-4, 1000.0) * 1e6, 3)
    0.1
    """
    require_positive(tau, "time constant")
    return volume / tau


def laminar_time(
    pressure: float, later_pressure: float, factor: float, ambient: float = STANDARD_PRESSURE
) -> float:
    """Time [s] of a decay through a narrow scratch, dp/dt = -k (p^2 - p_amb^2).

    t = (arcoth(p2/pa) - arcoth(p1/pa))/(k pa), with k = `factor` [1/(Pa s)]

    Raises
    ------
    InputError : not p1 >= p2 > ambient.

    Source: compressible Hagen-Poiseuille flow, any text.

    >>> round(laminar_time(1480276.5, 790800.8, 1.75631e-10), -1)
    3390.0
    """
    require_positive(factor, "laminar factor")
    if not pressure >= later_pressure > ambient:
        raise InputError(
            "The later pressure must lie between ambient and the earlier pressure.",
            next_step="Exchange the two pressures or check the sign.",
        )
    return (atanh(ambient / later_pressure) - atanh(ambient / pressure)) / (factor * ambient)


def choked_time(pressure: float, later_pressure: float, tau: float) -> float:
    """Time [s] of a decay through a short hole at the speed of sound, dp/dt = -p/tau.

    Holds while the absolute pressure is above 1.893 times ambient (air).

    Raises
    ------
    InputError : a value not above zero, or the later pressure below 1.893 standard atmospheres.

    Source: ISO 6358-1, choked flow of a gas.

    >>> round(choked_time(1480276.5, 790800.8, 3864.53))
    2423
    """
    require_positive(tau, "time constant")
    if not pressure >= later_pressure >= CHOKED * STANDARD_PRESSURE:
        raise InputError(
            "Choked flow holds only down to 1.893 atmospheres absolute.",
            next_step="Ask for a later pressure above that, and below the earlier one.",
        )
    return tau * log(pressure / later_pressure)


def resolution_uncertainty(step: float) -> float:
    """Standard uncertainty of a reading with smallest step `step`: step/sqrt(12).

    Source: GUM (JCGM 100:2008) F.2.2.1.

    >>> round(resolution_uncertainty(1.0), 4)
    0.2887
    """
    return step / sqrt(12.0)


def smallest_leak(
    volume: float,
    step: float,
    elapsed: float,
    pressure: float,
    temperature: float,
    temperature_half_width: float = 0.0,
    coverage: float = 2.0,
) -> float:
    """Smallest leak [std m3/s] that this gauge and time can tell from none.

    Q_min = k (V/p_std)(T_std/T)/t sqrt(2 d^2/12 + (p u(T)/T)^2), u(T) = a/sqrt(3)

    Parameters
    ----------
    volume : [m3].  step : of the gauge, d [Pa].  elapsed : t [s].
    pressure : [Pa absolute].  temperature : [K].
    temperature_half_width : what the temperature may have drifted unseen, a [K].
    coverage : k [-].

    Source: propagation of `standard_rate` by GUM 5.1.2, F.2.2.1, 4.3.7.

    >>> round(smallest_leak(1e-4, 6894.757, 600.0, 1480276.5, 293.15) * 60e6, 2)
    0.52
    """
    _later(elapsed)
    require_positive(temperature, "absolute temperature")
    drift = pressure * temperature_half_width / sqrt(3.0) / temperature
    noise = sqrt(2.0 * resolution_uncertainty(step) ** 2 + drift**2)
    scale = volume / STANDARD_PRESSURE * STANDARD_TEMPERATURE / temperature
    return coverage * scale * noise / elapsed


def wait_for_leak(
    rate: float,
    volume: float,
    step: float,
    pressure: float,
    temperature: float,
    temperature_half_width: float = 0.0,
    coverage: float = 2.0,
) -> float:
    """Shortest wait [s] after which a leak of `rate` [std m3/s] shows on this gauge.

    Source: `smallest_leak` solved for the time.

    >>> round(wait_for_leak(0.5e-6 / 60, 1e-4, 6894.757, 1480276.5, 293.15) / 60, 1)
    10.4
    """
    require_positive(rate, "leak rate")
    one_second = smallest_leak(
        volume, step, 1.0, pressure, temperature, temperature_half_width, coverage
    )
    return one_second / rate


def bubble_rate(diameter: float, period: float) -> float:
    """Leak rate [m3/s at ambient] of one bubble [m] every `period` [s]: (pi D^3/6)/t.

    A bubble test says go or no-go; the rate from it is a rough size, not a measurement.

    Source: volume of a sphere; method as in ASTM E515.

    >>> round(bubble_rate(3e-3, 10.0) * 60e6, 4)
    0.0848
    """
    require_positive(diameter, "bubble diameter")
    require_positive(period, "time between bubbles")
    return pi * diameter**3 / 6.0 / period


@dataclass(frozen=True)
class Loss:
    """What took a gauge reading from the first to the second; the parts add up exactly.

    Parameters
    ----------
    total : first minus second gauge reading [Pa].
    temperature, altitude, hose : explained parts [Pa]; negative where they raised the reading.
    rest : unexplained [Pa].
    expected : second gauge reading that a tight shock would show [Pa].
    """

    total: float
    temperature: float
    altitude: float
    hose: float
    rest: float
    expected: float


def explain_loss(
    first: float,
    second: float,
    *,
    temperature: float,
    later_temperature: float,
    ambient: float,
    later_ambient: float,
    volume: float,
    hose_volume: float,
    reconnections: float,
) -> Loss:
    """Split the difference of two gauge readings into what explains it and the rest.

    The chamber goes from the first temperature to the second, then from the first ambient pressure
    to the second, then the hose is put on `reconnections` times.

    Parameters
    ----------
    first, second : gauge readings [Pa].
    temperature, later_temperature : of the gas [K].
    ambient, later_ambient : [Pa absolute].
    volume, hose_volume : [m3].
    reconnections : times the hose was put on after the first reading.

    Raises
    ------
    InputError : a reading below a vacuum, or a value that cannot be.

    Source: laws of Gay-Lussac and Boyle, definition of gauge pressure.

    >>> loss = explain_loss(1.2e6, 1.0e6, temperature=293.15, later_temperature=283.15,
    ...     ambient=101325.0, later_ambient=101325.0, volume=1e-4, hose_volume=3e-6,
    ...     reconnections=1)
    >>> round(loss.temperature), round(loss.hose), round(loss.rest)
    (44391, 33659, 121950)
    """
    at_start = absolute(first, ambient)
    absolute(second, later_ambient)
    changed = at_temperature(at_start, temperature, later_temperature)
    here = changed - ambient
    there = changed - later_ambient
    expected = after_connecting(there, volume, hose_volume, reconnections)
    return Loss(
        total=first - second,
        temperature=first - here,
        altitude=here - there,
        hose=there - expected,
        rest=expected - second,
        expected=expected,
    )
