"""O-rings in their grooves: squeeze, stretch, thinning, fill. Lengths [m], results [-] or [m]."""

from __future__ import annotations

from math import pi, sqrt

from diagnose.bench.gas import require_positive

__all__ = [
    "FILL_MOST",
    "SQUEEZE_MOVING",
    "SQUEEZE_STILL",
    "STRETCH_MOST",
    "fill",
    "squeeze",
    "stretch",
    "stretched_section",
]

SQUEEZE_STILL = (0.15, 0.22)
"""Usual squeeze of a seal that does not move [-]: supplier's guide to compression rates."""

SQUEEZE_MOVING = (0.10, 0.15)
"""Usual squeeze of a seal on a sliding part [-]: same guide."""

FILL_MOST = 0.85
"""Most of the groove that the ring may fill [-]: same guide."""

STRETCH_MOST = 0.05
"""Most that a ring may be stretched on its groove [-]: distributor's guide to gland design."""


def squeeze(section: float, gap: float) -> float:
    """Squeeze [-] of a ring of `section` pressed to `gap`: (CS - gap)/CS.

    Negative where the ring does not touch.

    Source: O-ring handbooks.

    >>> squeeze(0.002, 0.0015)
    0.25
    """
    require_positive(section, "section of the ring")
    return (section - gap) / section


def stretch(inner_diameter: float, groove_diameter: float) -> float:
    """Stretch [-] of a ring on its groove: (G - ID)/ID.

    Source: O-ring handbooks.

    >>> round(stretch(0.02499, 0.0258), 4)
    0.0324
    """
    require_positive(inner_diameter, "inner diameter of the ring")
    return (groove_diameter - inner_diameter) / inner_diameter


def stretched_section(section: float, inner_diameter: float, groove_diameter: float) -> float:
    """Section [m] left of a stretched ring: CS sqrt((ID + CS)/(G + CS)).

    Source: rubber keeps its volume.

    >>> round(stretched_section(0.00353, 0.02499, 0.0258) * 1e3, 2)
    3.48
    """
    require_positive(section, "section of the ring")
    require_positive(groove_diameter, "groove diameter")
    return section * sqrt((inner_diameter + section) / (groove_diameter + section))


def fill(section: float, width: float, depth: float) -> float:
    """Share [-] of the groove that the ring fills: (pi/4) CS^2/(w h).

    Source: O-ring handbooks.

    >>> round(fill(0.00353, 0.0048, 0.00305), 3)
    0.668
    """
    require_positive(width, "groove width")
    require_positive(depth, "groove depth")
    return pi / 4.0 * section**2 / (width * depth)
