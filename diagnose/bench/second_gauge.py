"""Two gauges on one shock: how far the rider's is off, and what the shock truly held.

Rules
-----
- The gauge put on second reads lower by one hose. Read both ways round, the hose falls out of the
  sum; read one way, it is taken off as it was measured on this job, or as it usually is.
- What the rider sets, the rider sets by the gauge that is off: the shock held what is left of it
  once the error is taken out, and that is held against the marked maximum.
"""

from __future__ import annotations

from diagnose.bench.formula import Formula, Outcome
from diagnose.bench.gauges import CONNECTION, chamber, of_gauge, psi, psi_spread
from diagnose.bench.given import HOSE, SURE, VOLUME, Given, Input, Uncertain, rectangular
from diagnose.bench.marked import MAXIMUM
from diagnose.bench.units import PSI
from diagnose.errors import InputError

__all__ = ["SECOND_GAUGE"]

_SHOP = 0.02  # of the reading: what a known gauge may be off itself; common practice (no source)
_LEAST = 20.0 * PSI  # Pa; under this the ratio of two gauges is that of their needles


def _reading(name: str, text: str, *, optional: bool = False) -> Input:
    default = "" if optional else None
    return Input(name, text, "air pressure", default, unit="psi", resolution=1.0)


_READINGS = (
    _reading("rider", "rider's pump on: its gauge"),
    _reading("shop", "rider's pump off, shop gauge on at once: its gauge"),
    _reading("shop_first", "other way round: set by the shop gauge to", optional=True),
    _reading("rider_after", "shop gauge off, rider's pump on at once: its gauge", optional=True),
    Input(
        "set_on_it",
        "what the rider usually sets on that pump",
        "usual pressure",
        default="",
        sheet="set_pressure_psi",
        unit="psi",
        resolution=1.0,
    ),
)


def _require_a_pressure(given: Given, name: str) -> None:
    if given[name] < _LEAST:
        raise InputError(
            f"{psi(given[name])} is too little to compare two gauges by.",
            where=name,
            next_step=f"Fill it to the usual pressure, at least {psi(_LEAST)}, and read both.",
        )


def _reads(given: Given, left: Uncertain) -> Uncertain:
    """What the rider's gauge shows of a pressure of one; `left` is what a connection leaves."""
    _require_a_pressure(given, "shop")
    one = given.uncertain("rider") * left / given.uncertain("shop")
    if not (given.has("shop_first") and given.has("rider_after")):
        return one
    _require_a_pressure(given, "shop_first")
    other = given.uncertain("rider_after") / (given.uncertain("shop_first") * left)
    # A gauge that shows nothing has no geometric mean, and needs none.
    return (one * other) ** 0.5 if min(given["rider"], given["rider_after"]) > PSI else one


def _gauge_error(given: Given) -> Outcome:
    volume, hose = chamber(given)
    left = volume / (volume + hose)
    reads = _reads(given, left) * given.number(1.0, rectangular(_SHOP))
    error = reads - 1.0
    differs = abs(error.nominal_value) > SURE * error.std_dev
    amount = f"{abs(error.nominal_value) * 100:.0f} ± {error.std_dev * 100:.0f} %"
    side = "much" if error.nominal_value > 0 else "little"
    values = [("error", error, "%", "ratio")]
    # A guess at the hose moves the pressure by as much as it corrects it, and stops nobody.
    measured = given.has("connection") or (given.known("volume") and given.known("hose"))
    held = [given.uncertain("shop") / left] if measured else []
    last = (
        f"The rider's gauge shows {amount} too {side}."
        if differs
        else f"They differ by {amount}, no more than both can be off: the gauge tells the truth."
    )
    notes: tuple[str, ...] = ()
    if given.known("set_on_it") and given["rider"] > PSI:
        true = given.uncertain("set_on_it") / reads
        held.append(true)
        if differs:
            values.append(("true_share", 1.0 / reads, "1", "ratio"))
            notes = (
                f"set to {psi(given['set_on_it'])} on the rider's pump, the shock truly holds "
                f"{psi_spread(true)}.",
            )
    lines = (
        f"Rider's pump {psi(given['rider'])}, shop gauge {psi(given['shop'])}.",
        f"One connection takes {(1.0 - left.nominal_value) * 100:.1f} % of it.",
        last,
    )
    doubted = ("rider", "rider_after", "set_on_it")
    return of_gauge(given, tuple(values), lines, held=held, doubted=doubted, notes=notes)


SECOND_GAUGE = Formula(
    "gauge_error_percent",
    "how far a gauge is off against a known one",
    (*_READINGS, MAXIMUM, CONNECTION, VOLUME, HOSE),
    _gauge_error,
    "physics: Boyle's law for the hose",
    "%",
    (-100.0, 400.0),
    {"true_share": (0.2, 10.0)},
)
