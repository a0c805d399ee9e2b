"""What two gauge readings apart in time come to: the loss that nothing explains, and its rate.

Rules
-----
- Temperature, height and hose are taken off first; what is left over is the leak.
- A loss is told with its time: so much an hour, half in so long. A loss of nothing is told with the
  least leak that the time could have shown.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagnose.bench import gas, leak
from diagnose.bench.decay import Decay, span_words
from diagnose.bench.formula import Formula, Outcome, PictureData
from diagnose.bench.gauges import CONNECTION, PUMP, chamber, of_gauge, psi, psi_spread
from diagnose.bench.given import HOSE, SURE, VOLUME, Given, Input, Uncertain, rectangular
from diagnose.bench.marked import MAXIMUM
from diagnose.bench.units import PSI, render
from diagnose.errors import InputError

__all__ = ["LEAK_READINGS", "LEAST_SHOWN"]

# K, half-widths where no temperature was noted; common practice (no source)
_WITHIN_A_DAY, _OVER_DAYS = 3.0, 10.0
_DAY = 24 * 3600.0
_SHORTEST = 1.0  # s; two readings of one moment are one reading
_REFILL_MARGIN = 5.0 * PSI  # a gain beyond this and the uncertainty is air from a pump
_NEEDLE = 1.5 * PSI  # Pa; what a tight shock's two readings differ by unexplained (foreman, memory)

LEAST_SHOWN = SURE * _NEEDLE
"""Least loss [Pa] that two readings show where all else is known."""


_READINGS = (
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
    replace(PUMP, moment="first"),
    CONNECTION,
    VOLUME,
    HOSE,
)


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
    unnoted = _WITHIN_A_DAY if given["elapsed"] <= _DAY else _OVER_DAYS
    given.assumptions.append(
        f"a temperature was not noted: taken as {level}, within ± {unnoted:.0f} K."
    )
    drift = given.number(0.0, rectangular(unnoted))
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

    values = (
        given.uncertain("before"),
        given.uncertain("after"),
        *_temperatures(given),
        *chamber(given),
    )
    loss = split(*(value.nominal_value for value in values))
    needle = given.number(0.0, _NEEDLE)
    rest = given.through(lambda *plain: split(*plain).rest, *values) + needle
    expected = given.through(lambda *plain: split(*plain).expected, *values)
    if loss.rest < -(2.0 * SURE * rest.std_dev + _REFILL_MARGIN):
        raise InputError(
            f"The second reading is {psi(-loss.rest)} higher than temperature, altitude and hose "
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
    parts = [f"hose {psi(loss.hose)}", f"temperature {psi(loss.temperature)}"]
    if given.has("altitude_before"):
        parts.append(f"altitude {psi(loss.altitude)}")
    return (
        f"Gauge {render(before, 'psi')}, {span} later {render(after, 'psi')}: "
        f"{psi(loss.total)} gone.",
        f"Explained: {', '.join(parts)}; a tight shock would show {psi(loss.expected)}.",
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


def _pace(drop: float, hours: float) -> str:
    each = drop / hours
    return f"{each:.0f} psi an hour" if each >= 10.0 else f"{each:.2g} psi an hour"


def _verdict(decay: Decay, rest: Uncertain) -> str:
    """The loss with its rate, or the least rate that this time could have shown."""
    lost, least = rest.nominal_value / PSI, SURE * rest.std_dev / PSI
    found = f"Unexplained: {psi_spread(rest)}"
    if decay.start <= least:
        return f"{found}; too little air was in it to show a leak."
    if lost <= least:
        return (
            f"{found}, no more than the uncertainty: no leak shown by this test, which shows "
            f"none under {_pace(least, decay.hours)}."
        )
    whole = decay.start - lost < least
    counted = lost - least if whole else lost
    pace, half = _pace(counted, decay.hours), span_words(decay.half_life(counted))
    told = (
        f"all of it, at least {pace}, half in {half} or less"
        if whole
        else f"{pace}, half in {half}"
    )
    return f"{found}, more than the uncertainty: a real leak, {told}."


def _unexplained_loss(given: Given) -> Outcome:
    found = _explain(given)
    decay = Decay(max(found.loss.expected, 0.0) / PSI, given["elapsed"] / 3600.0)
    return of_gauge(
        given,
        (("unexplained", found.rest, "psi", "pressure"),),
        (*_loss_lines(given, found.loss), _verdict(decay, found.rest)),
        _loss_picture(given, found),
        response=decay,
    )


LEAK_READINGS: tuple[Formula, ...] = (
    Formula(
        "unexplained_loss_psi",
        "unexplained pressure loss",
        _READINGS,
        _unexplained_loss,
        "physics: gas law, standard atmosphere, Boyle's law for the hose",
        "psi",
        (-60.0, 400.0),
    ),
)
