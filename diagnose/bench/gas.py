"""Gas laws for a closed chamber: gauge, temperature, altitude, hose, compression.

All pressures are absolute [Pa] unless a name says gauge. Air and nitrogen are taken as ideal: at
14-21 bar and 20 C that costs at most 0.7 % in pressure, far below what a hose does.
"""

from __future__ import annotations

from math import expm1, log

from diagnose.errors import InputError

__all__ = [
    "GAMMA",
    "STANDARD_PRESSURE",
    "STANDARD_TEMPERATURE",
    "absolute",
    "after_connecting",
    "ambient_at_altitude",
    "at_temperature",
    "before_connecting",
    "gauge",
    "gauge_elsewhere",
    "polytropic_pressure",
    "polytropic_temperature",
    "polytropic_work",
    "require_positive",
]

STANDARD_PRESSURE = 101_325.0
"""Standard atmosphere [Pa], exact."""

STANDARD_TEMPERATURE = 273.15
"""0 C [K]: the reference of 'std cc' in this program."""

GAMMA = 1.4
"""Heat capacity ratio of air and nitrogen near room temperature [-]."""


def require_positive(value: float, name: str) -> None:
    """Raise unless `value` is above zero.

    Raises
    ------
    InputError : names the quantity.
    """
    if not value > 0:
        raise InputError(
            f"{name} must be above zero, not {value:.6g}.", next_step="Read the value again."
        )


def absolute(gauge_pressure: float, ambient: float = STANDARD_PRESSURE) -> float:
    """Absolute pressure [Pa] = gauge [Pa] + ambient [Pa].

    Raises
    ------
    InputError : the result would be zero or less, which no gas can have.

    Source: definition.

    >>> round(absolute(1_378_951.4586), 1)
    1480276.5
    """
    pressure = gauge_pressure + ambient
    if not pressure > 0:
        raise InputError(
            f"A gauge pressure of {gauge_pressure / 1e5:.4g} bar is less than a vacuum.",
            next_step="Read the gauge again; check the sign.",
        )
    return pressure


def gauge(pressure: float, ambient: float = STANDARD_PRESSURE) -> float:
    """Gauge pressure [Pa] of an absolute pressure [Pa].

    Source: definition.

    >>> gauge(201_325.0)
    100000.0
    """
    require_positive(pressure, "absolute pressure")
    return pressure - ambient


def at_temperature(pressure: float, temperature: float, new_temperature: float) -> float:
    """Absolute pressure [Pa] of a closed chamber taken from one temperature [K] to another.

    Raises
    ------
    InputError : a pressure or temperature is not above zero.

    Source: law of Gay-Lussac, p/T constant at constant volume.

    >>> round(at_temperature(1e6, 293.15, 263.15))
    897663
    """
    require_positive(pressure, "absolute pressure")
    require_positive(temperature, "absolute temperature")
    require_positive(new_temperature, "absolute temperature")
    return pressure * new_temperature / temperature


def gauge_elsewhere(
    gauge_pressure: float,
    temperature: float,
    new_temperature: float,
    ambient: float = STANDARD_PRESSURE,
    new_ambient: float = STANDARD_PRESSURE,
) -> float:
    """Gauge reading [Pa] of the same closed chamber at another temperature and ambient pressure.

    p_g2 = (p_g1 + p_amb1) T2/T1 - p_amb2, temperatures [K], ambients [Pa absolute].

    Source: law of Gay-Lussac with the definition of gauge pressure. Using the gauge pressure alone
    in p/T is the usual slip: 200 psi at 20 C would come out as 179.5 instead of 178.0 psi at -10 C.

    >>> round(gauge_elsewhere(1_378_951.4586, 293.15, 263.15) / 6894.757, 2)
    178.03
    """
    warm = at_temperature(absolute(gauge_pressure, ambient), temperature, new_temperature)
    return gauge(warm, new_ambient)


def ambient_at_altitude(altitude: float) -> float:
    """Standard ambient pressure [Pa] at an altitude [m], -5000 to 11000 m.

    p = 101325 (1 - 0.0065 z/288.15)^5.25588

    Raises
    ------
    InputError : outside the lowest layer of the standard atmosphere.

    Source: U.S. Standard Atmosphere 1976, ISO 2533, ICAO Doc 7488.

    >>> round(ambient_at_altitude(2000.0), -1)
    79500.0
    """
    if not -5000.0 <= altitude <= 11_000.0:
        raise InputError(
            f"An altitude of {altitude:.6g} m is outside -5000 to 11000 m.",
            next_step="Give the altitude in metres above the sea.",
        )
    ratio = 1.0 - 0.0065 * altitude / 288.15
    return float(STANDARD_PRESSURE * ratio**5.25588)


def after_connecting(
    gauge_pressure: float, chamber_volume: float, hose_volume: float, times: float = 1.0
) -> float:
    """Gauge pressure [Pa] left after a hose full of ambient air was connected `times` times.

    p_g,n = p_g (Vc/(Vc + Vh))^n, volumes [m3]; the hose is bled to ambient each time.

    Raises
    ------
    InputError : chamber not above zero, hose or times negative.

    Source: law of Boyle.

    >>> round(after_connecting(1_723_689.3, 13.5717e-6, 3e-6) / 1e5, 2)
    14.12
    """
    require_positive(chamber_volume, "chamber volume")
    if hose_volume < 0 or times < 0:
        raise InputError(
            "Hose volume and number of connections cannot be negative.",
            next_step="Count how often the pump was put on after the first reading.",
        )
    kept: float = (chamber_volume / (chamber_volume + hose_volume)) ** times
    return gauge_pressure * kept


def before_connecting(
    gauge_pressure: float, chamber_volume: float, hose_volume: float, times: float = 1.0
) -> float:
    """Gauge pressure [Pa] that the chamber held before the hose was put on; inverse of the above.

    Source: law of Boyle.

    >>> round(before_connecting(after_connecting(1e6, 1e-4, 3e-6), 1e-4, 3e-6))
    1000000
    """
    return gauge_pressure / after_connecting(1.0, chamber_volume, hose_volume, times)


def polytropic_pressure(pressure: float, volume_ratio: float, exponent: float) -> float:
    """Absolute pressure [Pa] after V1/V2 = `volume_ratio`; p V^n constant.

    `exponent` n is 1 for a slow push and about 1.3-1.4 for a fast stroke.

    Raises
    ------
    InputError : a value is not above zero.

    Source: polytropic process, any text on thermodynamics.

    >>> round(polytropic_pressure(13.01325e5, 2.0, 1.2))
    2989660
    """
    require_positive(pressure, "absolute pressure")
    require_positive(volume_ratio, "volume ratio")
    return float(pressure * volume_ratio**exponent)


def polytropic_temperature(temperature: float, volume_ratio: float, exponent: float) -> float:
    """Temperature [K] after V1/V2 = `volume_ratio`: T2 = T1 (V1/V2)^(n-1).

    Source: polytropic process, any text on thermodynamics.

    >>> round(polytropic_temperature(293.15, 2.0, 1.4) - 273.15, 1)
    113.7
    """
    require_positive(temperature, "absolute temperature")
    require_positive(volume_ratio, "volume ratio")
    return float(temperature * volume_ratio ** (exponent - 1.0))


def polytropic_work(pressure: float, volume: float, volume_ratio: float, exponent: float) -> float:
    """Work [J] put into the gas when it is compressed from `volume` [m3] by V1/V2.

    W = p1 V1/(n-1) ((V1/V2)^(n-1) - 1), and p1 V1 ln(V1/V2) for n = 1.

    Source: polytropic process, any text on thermodynamics.

    >>> round(polytropic_work(13.01325e5, 1e-4, 2.0, 1.0), 2)
    90.2
    """
    require_positive(pressure, "absolute pressure")
    require_positive(volume, "volume")
    require_positive(volume_ratio, "volume ratio")
    rise = exponent - 1.0
    growth = log(volume_ratio)
    factor = growth if rise == 0.0 else expm1(rise * growth) / rise
    return pressure * volume * factor
