"""What gauge readings of one moment come to: drop on connecting, pressure held."""

from __future__ import annotations

from itertools import pairwise

from diagnose.bench import air_spring, gas
from diagnose.bench.formula import Formula, Outcome, PictureData
from diagnose.bench.gauges import PUMP, of_gauge, psi, psi_spread
from diagnose.bench.given import HOSE, VOLUME, Given, Input, Uncertain
from diagnose.bench.marked import MAXIMUM
from diagnose.bench.units import PSI
from diagnose.errors import InputError

__all__ = ["PRESSURE_READINGS"]

_USUAL = Input(
    "usual_pressure",
    "pressure the rider usually sets",
    "usual pressure",
    sheet="set_pressure_psi",
    typical=True,
    unit="psi",
    resolution=1.0,
)


def _drop_per_reconnect(given: Given) -> Outcome:
    taken = [name for name in ("first", "second", "third") if given.has(name)]
    for earlier, later in pairwise(taken):
        if given[later] > given[earlier] + 2 * PSI:
            raise InputError(
                "The gauge rose between two connections.",
                where=later,
                next_step="Do not pump between the readings; start again from the new pressure.",
            )
    first, last, times = given.uncertain("first"), given.uncertain(taken[-1]), len(taken) - 1
    drop = (first - last) / times
    volume = given.uncertain("volume")
    hose = given.uncertain("hose")
    usual = first - given.through(gas.after_connecting, first, volume, hose)
    values = [("drop", drop, "psi", "pressure")]
    if min(first.nominal_value, last.nominal_value) > PSI:
        # Each connection leaves the same share of the gauge pressure (Boyle).
        left = (last / first) ** (1.0 / times)
        fall = max(1.0 - left.nominal_value, 0.0)
        values.append(("connection", given.number(fall, left.std_dev), "%", "ratio"))
    against = ""
    if given.has("reported") and given["reported"] > PSI:
        share = drop / given.uncertain("reported")
        values.append(("share_of_reported", share, "1", "ratio"))
        against = (
            f"; the rider reports {psi(given['reported'])}, of which that is "
            f"{share.nominal_value * 100:.0f} ± {share.std_dev * 100:.0f} %"
        )
    part = 100.0 * drop.nominal_value / max(first.nominal_value, PSI)
    lines = (
        f"Gauge {psi(first.nominal_value)}, taken off and put on again at once {times}x: "
        f"{psi(last.nominal_value)}.",
        f"Filling a usual hose alone takes {psi_spread(usual)}.",
        f"Each connection takes {psi_spread(drop)}, {part:.1f} % of the pressure{against}.",
    )
    return of_gauge(given, tuple(values), lines, doubted=("reported",))


def _held(given: Given) -> Uncertain:
    """Gauge pressure that the chamber held before the hose was put on."""
    volume = given.uncertain("volume")
    hose = given.uncertain("hose")
    return given.through(gas.before_connecting, given.uncertain("gauge"), volume, hose)


def _springs_picture(held: float, usual: float) -> PictureData | None:
    """Force of a typical shock over its stroke at two gauge pressures [Pa]; None for no spring."""
    if min(held, usual) < PSI:
        return None
    typical, charged = air_spring.TYPICAL, gas.absolute(air_spring.TYPICAL_CHARGE)
    points = [index * typical.stroke / 25 for index in range(26)]

    def curve(gauge: float) -> tuple[tuple[float, float], ...]:
        pressure = gas.absolute(gauge)
        return tuple(
            (x * 1e3, air_spring.spring_force(typical, x, pressure, charged)) for x in points
        )

    return PictureData(
        title="Force over stroke, a typical shock",
        description=f"Spring at {psi(held)} as found and at {psi(usual)} as usual.",
        x_label="stroke [mm]",
        y_label="force [N]",
        series=(("as found", curve(held)), ("at the usual pressure", curve(usual))),
    )


def _pressure_ratio(given: Given) -> Outcome:
    held = _held(given)
    usual = given.uncertain("usual_pressure")
    ratio = held / usual
    lines = (
        f"Gauge as found {psi(given['gauge'])}; before the hose filled, {psi(held.nominal_value)}.",
        f"Usual pressure {psi(usual.nominal_value)}.",
        f"It holds {ratio.nominal_value * 100:.0f} ± {ratio.std_dev * 100:.0f} % of it.",
    )
    picture = _springs_picture(held.nominal_value, usual.nominal_value)
    # A guess at the hose moves the pressure by as much as it corrects it, and stops nobody.
    known = given.known("volume") and given.known("hose")
    return of_gauge(
        given, (("ratio", ratio, "1", "ratio"),), lines, picture, held=(held,) if known else ()
    )


_GAUGE = Input(
    "gauge", "gauge as found, nothing pumped", "air pressure", unit="psi", resolution=1.0
)

PRESSURE_READINGS: tuple[Formula, ...] = (
    Formula(
        "drop_per_reconnect_psi",
        "drop on each connection of the pump",
        (
            Input("first", "gauge, hose on", "air pressure", unit="psi", resolution=1.0),
            Input(
                "second",
                "gauge after taking off and putting on at once",
                "air pressure",
                unit="psi",
                resolution=1.0,
            ),
            Input(
                "third",
                "gauge after doing so once more",
                "air pressure",
                default="",
                unit="psi",
                resolution=1.0,
            ),
            Input(
                "reported",
                "what the rider sees lost each time, if a number was named",
                "air pressure",
                default="",
                unit="psi",
                resolution=5.0,
            ),
            PUMP,
            MAXIMUM,
            VOLUME,
            HOSE,
        ),
        _drop_per_reconnect,
        "physics: Boyle's law",
        "psi",
        (-20.0, 100.0),
        {"connection": (0.0, 100.0), "share_of_reported": (-1.0, 20.0)},
    ),
    Formula(
        "pressure_ratio",
        "pressure found against the usual",
        (_GAUGE, _USUAL, MAXIMUM, VOLUME, HOSE),
        _pressure_ratio,
        "physics: Boyle's law for the hose",
        "1",
        (0.0, 4.0),
    ),
)
