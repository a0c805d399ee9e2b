"""What all gauge readings share: the pump that is put on, what it takes, the marked maximum."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from diagnose.bench.decay import Decay
from diagnose.bench.formula import Outcome, PictureData
from diagnose.bench.given import Given, Input, Uncertain
from diagnose.bench.marked import against_maximum
from diagnose.bench.units import PSI, render

__all__ = ["CONNECTION", "PUMP", "chamber", "of_gauge", "psi", "psi_spread"]

#: which pump: what a connection takes belongs to its hose
PUMP = Input(
    "pump",
    "number of the pump, where more than one is used on this job (1 if not noted)",
    "pump number",
    default="",
    unit="x",
    resolution=0.0,
)
#: what one connection takes of the gauge pressure, where this job has measured it
CONNECTION = Input(
    "connection",
    "share of the gauge pressure that one connection takes",
    "percentage",
    default="",
    unit="%",
    resolution=0.1,
    asked=False,
)


def psi(value: float) -> str:
    """A pressure [Pa] in whole psi."""
    return f"{round(value / PSI)} psi"


def psi_spread(value: Uncertain) -> str:
    """A pressure [Pa] in psi, with its uncertainty."""
    return render(float(value.nominal_value), "psi", float(value.std_dev))


def chamber(given: Given) -> tuple[Uncertain, Uncertain]:
    """Volumes of chamber and hose; what was measured on this job goes before any sheet.

    A measured connection tells their ratio alone, and nothing else of them ever counts: then the
    chamber is the unit.
    """
    if not given.has("connection"):
        return given.uncertain("volume"), given.uncertain("hose")
    share = given.uncertain("connection")
    given.assumptions.append(
        f"a connection takes {share.nominal_value * 100:.1f} % of the pressure, as measured on "
        "this job with this pump."
    )
    return given.number(1.0, 0.0), share / (1.0 - share)


def of_gauge(
    given: Given,
    values: tuple[tuple[str, Uncertain, str, str], ...],
    lines: tuple[str, ...],
    picture: PictureData | None = None,
    *,
    held: Iterable[Uncertain] = (),
    doubted: Collection[str] = (),
    response: Decay | None = None,
    notes: tuple[str, ...] = (),
) -> Outcome:
    """The outcome, and whether a gauge stood above the marked maximum.

    The verdict of the arithmetic stays last, so that line comes before it.

    Parameters
    ----------
    held, doubted : as `against_maximum`.
    """
    chance, said = against_maximum(given, held, doubted)
    return Outcome(
        (*lines[:-1], *said, lines[-1]), values, picture, chance, response=response, notes=notes
    )
