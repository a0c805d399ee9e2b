"""Tightening: wrench setting with an adapter, and what the torque does to the thread."""

from __future__ import annotations

from math import cos, pi, sqrt

from diagnose.bench.gas import require_positive
from diagnose.errors import InputError

__all__ = ["PROOF_STRESS_8_8", "preload", "preload_share", "stress_area", "wrench_setting"]

PROOF_STRESS_8_8 = 580e6
"""Proof stress of property class 8.8 up to 16 mm [Pa]: ISO 898-1 (from memory)."""


def wrench_setting(target: float, wrench: float, adapter: float, angle: float) -> float:
    """Setting [N m] of a torque wrench so that the thread gets `target` [N m].

    T_set = T L/(L + E cos a)

    Parameters
    ----------
    wrench : L, from the square drive to the middle of the grip [m].
    adapter : E, from the square drive to the middle of the nut [m].
    angle : a [rad]; 0 in line with the wrench, pi/2 needs no correction, pi folded back.

    Raises
    ------
    InputError : the adapter reaches back to the grip or beyond.

    Source: lever rule, pull square to the wrench at its grip.

    >>> round(wrench_setting(28.246, 0.300, 0.040, pi / 2), 3)
    28.246
    """
    require_positive(wrench, "length of the wrench")
    reach = wrench + adapter * cos(angle)
    if adapter < 0 or not reach > 0:
        raise InputError(
            "The adapter cannot reach back past the grip of the wrench.",
            next_step="Measure both lengths from the square drive; give the angle in degrees.",
        )
    return target * wrench / reach


def preload(torque: float, diameter: float, factor: float = 0.2) -> float:
    """Preload [N] of a screw of `diameter` [m] tightened to `torque` [N m]: T/(K d).

    `factor` K is about 0.2 dry and 0.15 oiled; the result is good to a third at best.

    Source: short form, common practice; the long form after Motosh agrees within 15 %.

    >>> round(preload(5.0, 0.005))
    5000
    """
    require_positive(diameter, "thread diameter")
    require_positive(factor, "torque factor")
    return torque / (factor * diameter)


def stress_area(diameter: float, pitch: float) -> float:
    """Tensile stress area [m2] of a metric thread: (pi/4)(d - 0.9382 P)^2, lengths [m].

    Raises
    ------
    InputError : the pitch leaves no core.

    Source: ISO 898-1.

    >>> round(stress_area(0.006, 0.001) * 1e6, 2)
    20.12
    """
    core = diameter - 13.0 / 12.0 * sqrt(3.0) / 2.0 * pitch
    if not core > 0 or not pitch > 0:
        raise InputError(
            "This pitch does not belong to this thread diameter.",
            next_step="Give the pitch in mm, for example 0.8 for M5.",
        )
    return pi / 4.0 * core**2


def preload_share(
    force: float, diameter: float, pitch: float, proof_stress: float = PROOF_STRESS_8_8
) -> float:
    """Share [-] of the proof stress that a preload [N] uses; up to 0.75 is usual.

    Source: ISO 898-1 (proof stress from memory); 0.75 common practice.

    >>> round(preload_share(5000.0, 0.005, 0.0008), 2)
    0.61
    """
    require_positive(proof_stress, "proof stress")
    return force / stress_area(diameter, pitch) / proof_stress
