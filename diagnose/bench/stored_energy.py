"""Energy of a pressurised chamber [J]; pressures absolute [Pa], volumes [m3].

`isentropic` is a sudden release; the larger of `blast` and `isothermal` is the cautious figure.
"""

from __future__ import annotations

from math import log

from diagnose.bench.gas import GAMMA, STANDARD_PRESSURE, require_positive

__all__ = ["availability", "blast", "drop_height", "isentropic", "isothermal"]


def isentropic(
    pressure: float, volume: float, ambient: float = STANDARD_PRESSURE, gamma: float = GAMMA
) -> float:
    """Energy [J] of a sudden release: pV/(g-1) (1 - (pa/p)^((g-1)/g)).

    Source: Crowl, Understanding Explosions (AIChE/CCPS 2003), eq. B-2.

    >>> round(isentropic(13.01325e5, 1e-4))
    168
    """
    require_positive(pressure, "absolute pressure")
    share = float((ambient / pressure) ** ((gamma - 1.0) / gamma))
    return pressure * volume / (gamma - 1.0) * (1.0 - share)


def isothermal(pressure: float, volume: float, ambient: float = STANDARD_PRESSURE) -> float:
    """Energy [J] of a slow expansion to ambient: pV ln(p/pa).

    Source: Crowl, Understanding Explosions (AIChE/CCPS 2003), appendix B.

    >>> round(isothermal(13.01325e5, 1e-4))
    332
    """
    require_positive(pressure, "absolute pressure")
    return pressure * volume * log(pressure / ambient)


def availability(pressure: float, volume: float, ambient: float = STANDARD_PRESSURE) -> float:
    """Most work [J] that the gas can do on something other than the air around it.

    E = pV (ln(p/pa) - (1 - pa/p))

    Source: Crowl, Understanding Explosions (AIChE/CCPS 2003), appendix B (formula from memory).

    >>> round(availability(13.01325e5, 1e-4))
    212
    """
    slow = isothermal(pressure, volume, ambient)
    return slow - pressure * volume * (1.0 - ambient / pressure)


def blast(
    pressure: float, volume: float, ambient: float = STANDARD_PRESSURE, gamma: float = GAMMA
) -> float:
    """Energy [J] after Brode: (p - pa) V/(g-1); the cautious figure below 9.3 atmospheres.

    Source: Brode 1959, as eq. B-1 in Crowl, Understanding Explosions (AIChE/CCPS 2003).

    >>> round(blast(13.01325e5, 1e-4))
    300
    """
    require_positive(pressure, "absolute pressure")
    return (pressure - ambient) * volume / (gamma - 1.0)


def drop_height(energy: float, mass: float = 1.0) -> float:
    """Height [m] from which `mass` [kg] falls with the same energy [J]: a picture for a customer.

    Source: E = m g h, standard gravity.

    >>> round(drop_height(34.8), 2)
    3.55
    """
    require_positive(mass, "mass")
    return energy / (mass * 9.80665)
