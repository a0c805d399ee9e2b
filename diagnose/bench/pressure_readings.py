"""What gauge readings come to: loss, drop on connecting, pressure held."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from diagnose.bench import air_spring, gas, leak
from diagnose.bench.formula import Formula, Outcome, PictureData
from diagnose.bench.given import HOSE, SURE, VOLUME, Given, Input, Uncertain, rectangular
from diagnose.bench.marked import MAXIMUM, against_maximum
from diagnose.bench.units import PSI, render
from diagnose.errors import InputError

__all__ = ["PRESSURE_READINGS"]

_UNNOTED_DRIFT = 3.0  # K, half-width where no temperature was noted; common practice (no source)
_SHORTEST = 1.0  # s; two readings of one moment are one reading
_REFILL_MARGIN = 5.0 * PSI  # a gain beyond this and the uncertainty is air from a pump

_USUAL = Input(
    "usual_pressure",
    "pressure the rider usually sets",
    "usual pressure",
    sheet="set_pressure_psi",
    typical=True,
    unit="psi",
    resolution=1.0,
)
_LEAK_READINGS = (
    Input(
        "before",
        "gauge at the start, hose on",
        "air pressure",
        unit="psi",
        resolution=1.0,
        moment="first",
    ),
    Input(
        "after",
        "gauge at the end, hose on",
        "air pressure",
        unit="psi",
        resolution=1.0,
        moment="later",
    ),
    Input(
        "elapsed",
        "time between the two readings",
        "elapsed time",
        unit="h",
        resolution=1.0 / 60.0,
        moment="between",
    ),
    Input(
        "temperature_before",
        "temperature of the shock at the start",
        "temperature",
        default="",
        unit="C",
        resolution=1.0,
        moment="first",
    ),
    Input(
        "temperature_after",
        "temperature of the shock at the end",
        "temperature",
        default="",
        unit="C",
        resolution=1.0,
        moment="later",
    ),
    Input(
        "reconnections",
        "times the pump was put on after the first reading (1 if not noted)",
        "connections",
        default="",
        unit="x",
        resolution=0.0,
        moment="later",
    ),
    Input(
        "altitude_before",
        "altitude at the start",
        "altitude",
        default="",
        unit="m",
        resolution=10.0,
        moment="first",
    ),
    Input(
        "altitude_after",
        "altitude at the end",
        "altitude",
        default="",
        unit="m",
        resolution=10.0,
        moment="later",
    ),
    replace(MAXIMUM, moment="first"),
    VOLUME,
    HOSE,
)


def _psi(value: float) -> str:
    return f"{round(value / PSI)} psi"


def _spread(value: Uncertain, unit: str) -> str:
    return render(float(value.nominal_value), unit, float(value.std_dev))


def _of_gauge(
    given: Given,
    value: tuple[str, Uncertain, str, str],
    lines: tuple[str, ...],
    picture: PictureData | None = None,
    held: Iterable[Uncertain] = (),
) -> Outcome:
    """The outcome, and whether a gauge stood above the marked maximum.

    The verdict of the arithmetic stays last, so that line comes before it.
    """
    chance, said = against_maximum(given, held)
    return Outcome((*lines[:-1], *said, lines[-1]), (value,), picture, chance)


def _temperatures(given: Given) -> tuple[Uncertain, Uncertain]:
    before, after = given.has("temperature_before"), given.has("temperature_after")
    if before and after:
        return given.uncertain("temperature_before"), given.uncertain("temperature_after")
    if before or after:
        name = "temperature_before" if before else "temperature_after"
        known = given.uncertain(name)
        level = f"the other reading, {render(known.nominal_value, 'C')}"
    else:
        known = given.number(given.ambient.temperature, rectangular(10.0))
        level = "unchanged"
    given.assumptions.append(
        f"a temperature was not noted: taken as {level}, within ± {_UNNOTED_DRIFT:.0f} K."
    )
    drift = given.number(0.0, rectangular(_UNNOTED_DRIFT))
    return (known, known + drift) if before or not after else (known + drift, known)


def _ambients(given: Given) -> tuple[float, float]:
    before, after = given.has("altitude_before"), given.has("altitude_after")
    if before != after:
        raise InputError(
            "Only one altitude was given.",
            where="altitude_after" if before else "altitude_before",
            next_step="Give the altitude of both readings, or of none.",
        )
    if not before:
        return given.ambient.pressure, given.ambient.pressure
    return (
        gas.ambient_at_altitude(given["altitude_before"]),
        gas.ambient_at_altitude(given["altitude_after"]),
    )


@dataclass(frozen=True)
class _Explained:
    """A loss in plain numbers, and what is needed of it with uncertainty."""

    loss: leak.Loss
    rest: Uncertain
    expected: Uncertain


def _explain(given: Given) -> _Explained:
    if not given["elapsed"] >= _SHORTEST:
        raise InputError(
            "The second reading is not later than the first.",
            where="elapsed",
            next_step="Give the time that passed from the first reading to the second.",
        )
    ambient, later_ambient = _ambients(given)
    reconnections = given["reconnections"] if given.has("reconnections") else 1.0

    def split(
        first: float, second: float, warm: float, later: float, volume: float, hose: float
    ) -> leak.Loss:
        return leak.explain_loss(
            first,
            second,
            temperature=warm,
            later_temperature=later,
            ambient=ambient,
            later_ambient=later_ambient,
            volume=volume,
            hose_volume=hose,
            reconnections=reconnections,
        )

    volume = given.uncertain("volume")
    values = (
        given.uncertain("before"),
        given.uncertain("after"),
        *_temperatures(given),
        volume,
        given.uncertain("hose"),
    )
    loss = split(*(value.nominal_value for value in values))
    rest = given.through(lambda *plain: split(*plain).rest, *values)
    expected = given.through(lambda *plain: split(*plain).expected, *values)
    if loss.rest < -(2.0 * SURE * rest.std_dev + _REFILL_MARGIN):
        raise InputError(
            f"The second reading is {_psi(-loss.rest)} higher than temperature, altitude and hose "
            "can explain.",
            where="after",
            next_step="If air was pumped in between, start the test again from the new pressure; "
            "if not, read both again with one gauge.",
        )
    return _Explained(loss, rest, expected)


def _loss_lines(given: Given, loss: leak.Loss) -> tuple[str, str]:
    before, after = given["before"], given["after"]
    elapsed = given["elapsed"]
    span = render(elapsed, "h") if elapsed >= 5400 else render(elapsed, "min")
    parts = [f"hose {_psi(loss.hose)}", f"temperature {_psi(loss.temperature)}"]
    if given.has("altitude_before"):
        parts.append(f"altitude {_psi(loss.altitude)}")
    return (
        f"Gauge {render(before, 'psi')}, {span} later {render(after, 'psi')}: "
        f"{_psi(loss.total)} gone.",
        f"Explained: {', '.join(parts)}; a tight shock would show {_psi(loss.expected)}.",
    )


def _loss_picture(given: Given, found: _Explained) -> PictureData:
    hours = given["elapsed"] / 3600.0
    before = given["before"] / PSI
    after = given["after"] / PSI
    middle = found.loss.expected / PSI
    half = SURE * found.expected.std_dev / PSI
    start = SURE * given.uncertain("before").std_dev / PSI
    return PictureData(
        title="Pressure over time",
        description=f"Gauge from {before:.0f} to {after:.0f} psi in {hours:.3g} h; a tight shock "
        f"would show {middle - half:.0f} to {middle + half:.0f} psi.",
        x_label="time [h]",
        y_label="gauge [psi]",
        series=(("gauge", ((0.0, before), (hours, after))),),
        band=((0.0, before - start, before + start), (hours, middle - half, middle + half)),
        band_label="explained by hose, temperature, altitude",
    )


def _unexplained_loss(given: Given) -> Outcome:
    found = _explain(given)
    rest = found.rest
    shown = rest.nominal_value > SURE * rest.std_dev
    verdict = (
        "more than the uncertainty: a real leak."
        if shown
        else "no more than the uncertainty: no leak shown by this test."
    )
    last = f"Unexplained: {_spread(rest, 'psi')}, {verdict}"
    lines = (*_loss_lines(given, found.loss), last)
    return _of_gauge(
        given, ("unexplained", rest, "psi", "pressure"), lines, _loss_picture(given, found)
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
    share = 100.0 * drop.nominal_value / max(first.nominal_value, PSI)
    lines = (
        f"Gauge {_psi(first.nominal_value)}, taken off and put on again at once {times}x: "
        f"{_psi(last.nominal_value)}.",
        f"Each connection takes {_spread(drop, 'psi')}, {share:.1f} % of the pressure.",
        f"Filling the hose alone takes {_spread(usual, 'psi')}.",
    )
    return _of_gauge(given, ("drop", drop, "psi", "pressure"), lines)


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
        description=f"Spring at {_psi(held)} as found and at {_psi(usual)} as usual.",
        x_label="stroke [mm]",
        y_label="force [N]",
        series=(("as found", curve(held)), ("at the usual pressure", curve(usual))),
    )


def _pressure_ratio(given: Given) -> Outcome:
    held = _held(given)
    usual = given.uncertain("usual_pressure")
    ratio = held / usual
    lines = (
        f"Gauge as found {_psi(given['gauge'])}; before the hose filled, "
        f"{_psi(held.nominal_value)}.",
        f"Usual pressure {_psi(usual.nominal_value)}.",
        f"It holds {ratio.nominal_value * 100:.0f} ± {ratio.std_dev * 100:.0f} % of it.",
    )
    picture = _springs_picture(held.nominal_value, usual.nominal_value)
    # A guess at the hose moves the pressure by as much as it corrects it, and stops nobody.
    known = given.known("volume") and given.known("hose")
    return _of_gauge(
        given, ("ratio", ratio, "1", "ratio"), lines, picture, held=(held,) if known else ()
    )


_GAUGE = Input(
    "gauge", "gauge as found, nothing pumped", "air pressure", unit="psi", resolution=1.0
)

PRESSURE_READINGS: tuple[Formula, ...] = (
    Formula(
        "unexplained_loss_psi",
        "unexplained pressure loss",
        _LEAK_READINGS,
        _unexplained_loss,
        "physics: gas law, standard atmosphere, Boyle's law for the hose",
        "psi",
        (-60.0, 400.0),
    ),
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
            MAXIMUM,
            VOLUME,
            HOSE,
        ),
        _drop_per_reconnect,
        "physics: Boyle's law",
        "psi",
        (-20.0, 100.0),
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
