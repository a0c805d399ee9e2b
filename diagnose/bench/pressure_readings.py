"""Bench quantities from gauge readings: loss, leak rate, connecting, pressure held, trapped gas."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from diagnose.bench import air_spring, gas, leak
from diagnose.bench.evidence import (
    Inputs,
    PictureData,
    Quantity,
    QuantityResult,
    ReadingSpec,
    Uncertain,
    rectangular,
)
from diagnose.bench.marked import MAXIMUM, SHORTNESS, against_maximum, marked_maximum, shortfall
from diagnose.bench.units import from_unit, render
from diagnose.errors import InputError

__all__ = ["PRESSURE_QUANTITIES"]

_PSI = from_unit(1.0, "psi")
_SCCM = from_unit(1.0, "std cc/min")
_CHARGE = from_unit(250.0, "psi")  # of the typical shock in a picture; common practice (no source)
_SURE = 2.0  # expanded uncertainty, about 95 %
_UNNOTED_DRIFT = 3.0  # K, half-width where no temperature was noted; common practice (no source)
_SHORTEST = 1.0  # s; two readings of one moment are one reading
_REFILL_MARGIN = 5.0 * _PSI  # a gain beyond this and the uncertainty is air from a pump

# The foreman's rule for trapped gas: short by more than a third of the stroke AND holding more than
# a quarter of the usual pressure (common practice, from memory).
_SHORT_SHARE = 1.0 / 3.0
_HELD_SHARE = 1.0 / 4.0

_USUAL = ReadingSpec(
    "usual_pressure", "pressure the rider usually sets", "usual pressure", "psi", 1.0, optional=True
)
_LEAK_READINGS = (
    ReadingSpec(
        "before", "gauge at the start, hose on", "air pressure", "psi", 1.0, moment="first"
    ),
    ReadingSpec("after", "gauge at the end, hose on", "air pressure", "psi", 1.0, moment="later"),
    ReadingSpec(
        "elapsed",
        "time between the two readings",
        "elapsed time",
        "h",
        1.0 / 60.0,
        moment="between",
    ),
    ReadingSpec(
        "temperature_before",
        "temperature of the shock at the start",
        "temperature",
        "C",
        1.0,
        optional=True,
        moment="first",
    ),
    ReadingSpec(
        "temperature_after",
        "temperature of the shock at the end",
        "temperature",
        "C",
        1.0,
        optional=True,
        moment="later",
    ),
    ReadingSpec(
        "reconnections",
        "times the pump was put on after the first reading (1 if not noted)",
        "connections",
        "x",
        0.0,
        optional=True,
        moment="later",
    ),
    ReadingSpec(
        "altitude_before",
        "altitude at the start",
        "altitude",
        "m",
        10.0,
        optional=True,
        moment="first",
    ),
    ReadingSpec(
        "altitude_after",
        "altitude at the end",
        "altitude",
        "m",
        10.0,
        optional=True,
        moment="later",
    ),
    replace(MAXIMUM, moment="first"),
)


def _psi(value: float) -> str:
    return f"{round(value / _PSI)} psi"


def _spread(value: Uncertain, unit: str) -> str:
    return render(float(value.nominal_value), unit, float(value.std_dev))


def _of_gauge(
    inputs: Inputs,
    value: Uncertain,
    unit: str,
    lines: tuple[str, ...],
    picture: PictureData | None = None,
    per_unit: float = 1.0,
    held: Iterable[Uncertain] = (),
) -> QuantityResult:
    """`Inputs.result`, and whether a gauge stood above the marked maximum.

    The verdict of the arithmetic stays last, so that line comes before it.
    """
    chance, said = against_maximum(inputs, held)
    result = inputs.result(value, unit, (*lines[:-1], *said, lines[-1]), picture, per_unit)
    return replace(result, over_maximum=chance)


def _temperatures(inputs: Inputs) -> tuple[Uncertain, Uncertain]:
    before, after = inputs.has("temperature_before"), inputs.has("temperature_after")
    if before and after:
        return inputs.reading("temperature_before"), inputs.reading("temperature_after")
    if before or after:
        name = "temperature_before" if before else "temperature_after"
        known = inputs.reading(name)
        level = f"the other reading, {render(known.nominal_value, 'C')}"
    else:
        known = inputs.number(inputs.ambient.temperature, rectangular(10.0))
        level = "unchanged"
    inputs.assumptions.append(
        f"a temperature was not noted: taken as {level}, within ± {_UNNOTED_DRIFT:.0f} K."
    )
    drift = inputs.number(0.0, rectangular(_UNNOTED_DRIFT))
    return (known, known + drift) if before or not after else (known + drift, known)


def _ambients(inputs: Inputs) -> tuple[float, float]:
    before, after = inputs.has("altitude_before"), inputs.has("altitude_after")
    if before != after:
        raise InputError(
            "Only one altitude was given.",
            where="altitude_after" if before else "altitude_before",
            next_step="Give the altitude of both readings, or of none.",
        )
    if not before:
        return inputs.ambient.pressure, inputs.ambient.pressure
    return (
        gas.ambient_at_altitude(inputs.readings["altitude_before"].value),
        gas.ambient_at_altitude(inputs.readings["altitude_after"].value),
    )


@dataclass(frozen=True)
class _Explained:
    """A loss in plain numbers, and what is needed of it with uncertainty."""

    loss: leak.Loss
    rest: Uncertain
    expected: Uncertain
    temperature: Uncertain
    volume: Uncertain


def _explain(inputs: Inputs) -> _Explained:
    if not inputs.readings["elapsed"].value >= _SHORTEST:
        raise InputError(
            "The second reading is not later than the first.",
            where="elapsed",
            next_step="Give the time that passed from the first reading to the second.",
        )
    ambient, later_ambient = _ambients(inputs)
    reconnections = inputs.readings["reconnections"].value if inputs.has("reconnections") else 1.0

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

    volume = inputs.from_sheet("air_can_volume_cc")
    values = (
        inputs.reading("before"),
        inputs.reading("after"),
        *_temperatures(inputs),
        volume,
        inputs.from_sheet("hose_volume_cc"),
    )
    loss = split(*(value.nominal_value for value in values))
    rest = inputs.through(lambda *plain: split(*plain).rest, *values)
    expected = inputs.through(lambda *plain: split(*plain).expected, *values)
    if loss.rest < -(2.0 * _SURE * rest.std_dev + _REFILL_MARGIN):
        raise InputError(
            f"The second reading is {_psi(-loss.rest)} higher than temperature, altitude and hose "
            "can explain.",
            where="after",
            next_step="If air was pumped in between, start the test again from the new pressure; "
            "if not, read both again with one gauge.",
        )
    return _Explained(loss, rest, expected, values[3], volume)


def _loss_lines(inputs: Inputs, loss: leak.Loss) -> tuple[str, str]:
    before, after = inputs.readings["before"], inputs.readings["after"]
    elapsed = inputs.readings["elapsed"].value
    span = render(elapsed, "h") if elapsed >= 5400 else render(elapsed, "min")
    parts = [f"hose {_psi(loss.hose)}", f"temperature {_psi(loss.temperature)}"]
    if inputs.has("altitude_before"):
        parts.append(f"altitude {_psi(loss.altitude)}")
    return (
        f"Gauge {render(before.value, 'psi')}, {span} later {render(after.value, 'psi')}: "
        f"{_psi(loss.total)} gone.",
        f"Explained: {', '.join(parts)}; a tight shock would show {_psi(loss.expected)}.",
    )


def _loss_picture(inputs: Inputs, found: _Explained) -> PictureData:
    hours = inputs.readings["elapsed"].value / 3600.0
    before = inputs.readings["before"].value / _PSI
    after = inputs.readings["after"].value / _PSI
    middle = found.loss.expected / _PSI
    half = _SURE * found.expected.std_dev / _PSI
    start = _SURE * inputs.readings["before"].uncertainty / _PSI
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


def _unexplained_loss(inputs: Inputs) -> QuantityResult:
    found = _explain(inputs)
    rest = found.rest
    shown = rest.nominal_value > _SURE * rest.std_dev
    verdict = (
        "more than the uncertainty: a real leak."
        if shown
        else "no more than the uncertainty: no leak shown by this test."
    )
    last = f"Unexplained: {_spread(rest, 'psi')}, {verdict}"
    lines = (*_loss_lines(inputs, found.loss), last)
    return _of_gauge(inputs, rest, "psi", lines, _loss_picture(inputs, found), _PSI)


def _loss_rate(inputs: Inputs) -> QuantityResult:
    found = _explain(inputs)

    def rate_of(rest: float, kelvin: float, volume: float, elapsed: float) -> float:
        # Only the unexplained part leaked; the rest is taken at the later temperature.
        base = inputs.ambient.pressure
        return leak.standard_rate(base + rest, base, kelvin, kelvin, volume, elapsed)

    elapsed = inputs.reading("elapsed")
    rate = inputs.through(rate_of, found.rest, found.temperature, found.volume, elapsed)
    # What the same gauge and time could call a leak although there is none.
    lowest = rate_of(
        _SURE * found.rest.std_dev,
        found.temperature.nominal_value,
        found.volume.nominal_value,
        elapsed.nominal_value,
    )
    last = (
        f"Leak: {_spread(rate, 'std cc/min')} (0 C, 101.325 kPa); this test shows nothing below "
        f"{lowest / _SCCM:.2g} std cc/min."
    )
    lines = (*_loss_lines(inputs, found.loss), last)
    return _of_gauge(inputs, rate, "std cc/min", lines, _loss_picture(inputs, found), _SCCM)


def _drop_per_reconnect(inputs: Inputs) -> QuantityResult:
    taken = [name for name in ("first", "second", "third") if inputs.has(name)]
    for earlier, later in pairwise(taken):
        if inputs.readings[later].value > inputs.readings[earlier].value + 2 * _PSI:
            raise InputError(
                "The gauge rose between two connections.",
                where=later,
                next_step="Do not pump between the readings; start again from the new pressure.",
            )
    first, last, times = inputs.reading("first"), inputs.reading(taken[-1]), len(taken) - 1
    drop = (first - last) / times
    volume = inputs.from_sheet("air_can_volume_cc")
    hose = inputs.from_sheet("hose_volume_cc")
    usual = first - inputs.through(gas.after_connecting, first, volume, hose)
    share = 100.0 * drop.nominal_value / max(first.nominal_value, _PSI)
    lines = (
        f"Gauge {_psi(first.nominal_value)}, taken off and put on again at once {times}x: "
        f"{_psi(last.nominal_value)}.",
        f"Each connection takes {_spread(drop, 'psi')}, {share:.1f} % of the pressure.",
        f"Filling the hose alone takes {_spread(usual, 'psi')}.",
    )
    return _of_gauge(inputs, drop, "psi", lines, per_unit=_PSI)


def _held(inputs: Inputs) -> Uncertain:
    """Gauge pressure that the chamber held before the hose was put on."""
    volume = inputs.from_sheet("air_can_volume_cc")
    hose = inputs.from_sheet("hose_volume_cc")
    return inputs.through(gas.before_connecting, inputs.reading("gauge"), volume, hose)


def _springs_picture(held: float, usual: float) -> PictureData | None:
    """Force of a typical shock over its stroke at two gauge pressures [Pa]; None for no spring."""
    if min(held, usual) < _PSI:
        return None
    typical, charged = air_spring.TYPICAL, gas.absolute(_CHARGE)
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


def _pressure_ratio(inputs: Inputs) -> QuantityResult:
    held = _held(inputs)
    usual = inputs.reading_or_sheet("usual_pressure", "set_pressure_psi")
    ratio = held / usual
    lines = (
        f"Gauge as found {_psi(inputs.readings['gauge'].value)}; before the hose filled, "
        f"{_psi(held.nominal_value)}.",
        f"Usual pressure {_psi(usual.nominal_value)}.",
        f"It holds {ratio.nominal_value * 100:.0f} ± {ratio.std_dev * 100:.0f} % of it.",
    )
    picture = _springs_picture(held.nominal_value, usual.nominal_value)
    # A guess at the hose moves the pressure by as much as it corrects it, and stops nobody.
    known = inputs.knows("air_can_volume_cc") and inputs.knows("hose_volume_cc")
    return _of_gauge(inputs, ratio, "1", lines, picture, held=(held,) if known else ())


def _trapped_index(inputs: Inputs) -> QuantityResult:
    """min(3 shortfall/stroke, 4 gauge/usual): 1 where both marks of the foreman's rule are met.

    A full-length shock or an empty one is near 0 however the other reading stands; one that went
    down without losing air is near 2.5. No model of the shock goes into the number; the force
    balance of a typical shock is only told in words.
    """
    signed, stroke = shortfall(inputs)
    # A shock that stands too long holds no gas that makes it short.
    short = signed if signed.nominal_value > 0 else inputs.number(0.0, signed.std_dev)
    held = inputs.reading("gauge")
    usual = inputs.reading_or_sheet("usual_pressure", "set_pressure_psi")
    by_length = short / stroke / _SHORT_SHARE
    by_gauge = held / usual / _HELD_SHARE
    index = min(by_length, by_gauge, key=lambda side: side.nominal_value)
    share = float((short / stroke).nominal_value)
    lines = (
        f"Short by {render(short.nominal_value, 'mm')}, {share * 100:.0f} % of the stroke; "
        f"it still holds {_psi(held.nominal_value)} of the usual "
        f"{_psi(usual.nominal_value)}.",
        f"Against a third of the stroke and a quarter of the pressure: "
        f"{by_length.nominal_value:.1f} and {by_gauge.nominal_value:.1f}; the smaller counts, "
        "from 1 on suspect trapped gas.",
        _balance(inputs, min(share, 1.0), float(held.nominal_value), float(usual.nominal_value)),
    )
    return _of_gauge(inputs, index, "1", lines)


def _balance(inputs: Inputs, share: float, held: float, usual: float) -> str:
    """What the force balance of a typical shock says, as a sentence."""
    spring = air_spring.TYPICAL
    x = share * spring.stroke
    if x <= spring.transfer:
        return "It stands near full length, where the balance says nothing about trapped gas."
    ambient = inputs.ambient.pressure
    charge_full = from_unit(250.0, "psi") + ambient
    behind = air_spring.negative_from_balance(
        spring,
        gas.absolute(held, ambient),
        air_spring.charge_at(spring, x, charge_full),
        ambient,
    )
    normal = air_spring.negative_at(spring, x, gas.absolute(usual, ambient))
    needed = air_spring.return_gauge(spring, x, behind, charge_full, ambient)
    limit = ""
    marked = marked_maximum(inputs)
    if marked is not None:
        maximum = float(marked.nominal_value)
        outcome = air_spring.reextension(needed, usual, maximum)
        limit = f"; marked maximum {render(maximum, 'psi')}: {outcome}"
    return (
        f"A typical shock standing so has {(behind - ambient) / _PSI:.0f} psi behind the piston, "
        f"{behind / normal:.1f}x the normal amount, and needs {max(needed, 0.0) / _PSI:.0f} psi "
        f"to come out{limit}."
    )


_GAUGE = ReadingSpec("gauge", "gauge as found, nothing pumped", "air pressure", "psi", 1.0)

PRESSURE_QUANTITIES: tuple[Quantity, ...] = (
    Quantity(
        "unexplained_loss_psi",
        "unexplained pressure loss",
        "psi",
        _LEAK_READINGS,
        ("air_can_volume_cc", "hose_volume_cc", "maximum_pressure_psi"),
        _unexplained_loss,
        (-60.0, 400.0),
    ),
    Quantity(
        "loss_rate_sccm",
        "leak rate",
        "std cc/min",
        _LEAK_READINGS,
        ("air_can_volume_cc", "hose_volume_cc", "maximum_pressure_psi"),
        _loss_rate,
        (-1000.0, 10000.0),
    ),
    Quantity(
        "drop_per_reconnect_psi",
        "drop on each connection of the pump",
        "psi",
        (
            ReadingSpec("first", "gauge, hose on", "air pressure", "psi", 1.0),
            ReadingSpec(
                "second",
                "gauge after taking off and putting on at once",
                "air pressure",
                "psi",
                1.0,
            ),
            ReadingSpec(
                "third", "gauge after doing so once more", "air pressure", "psi", 1.0, optional=True
            ),
            MAXIMUM,
        ),
        ("air_can_volume_cc", "hose_volume_cc", "maximum_pressure_psi"),
        _drop_per_reconnect,
        (-20.0, 100.0),
    ),
    Quantity(
        "pressure_ratio",
        "pressure found against the usual",
        "1",
        (_GAUGE, _USUAL, MAXIMUM),
        ("set_pressure_psi", "air_can_volume_cc", "hose_volume_cc", "maximum_pressure_psi"),
        _pressure_ratio,
        (0.0, 4.0),
    ),
    Quantity(
        "trapped_index",
        "sign of trapped gas",
        "1",
        (
            _GAUGE,
            *SHORTNESS,
            _USUAL,
            MAXIMUM,
        ),
        ("stroke_mm", "eye_to_eye_mm", "set_pressure_psi", "maximum_pressure_psi"),
        _trapped_index,
        (-1.0, 6.0),
    ),
)
