"""The shapes in which readings come in and bench quantities go out.

Rules
-----
- A `Quantity` says which readings it wants and turns them into one number with a standard
  uncertainty, in its own unit; it judges nothing. What the number speaks for is knowledge.
- A value of the shop's data sheet that is missing is never invented: the stated typical range takes
  its place with its width, and `QuantityResult.assumptions` says so.
- Uncertainty is propagated by the library `uncertainties`, which is imported by the first result.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import sqrt
from typing import Any, Literal

from diagnose.bench.gas import STANDARD_PRESSURE
from diagnose.bench.kinds import KINDS
from diagnose.bench.typed import Measured, read, require_possible
from diagnose.bench.units import from_unit, render
from diagnose.errors import InputError

__all__ = [
    "SHEET_FIELDS",
    "Ambient",
    "Inputs",
    "PictureData",
    "Quantity",
    "QuantityResult",
    "ReadingSpec",
    "SheetField",
    "measure",
    "rectangular",
]

_NOTHING = 1e-6  # SI: a micrometre, a millionth of a pascal; below it a quotient means nothing

Uncertain = Any
"""A number of the library `uncertainties`, which ships no types."""


@dataclass(frozen=True)
class ReadingSpec:
    """One reading that a quantity wants.

    Parameters
    ----------
    name : key in the answer.
    text : what to read, for the person at the bench.
    kind : key of `kinds.KINDS`.
    unit : unit to ask for.
    resolution : smallest step of the usual instrument [unit].
    optional : the quantity can do without it.
    moment : of a quantity that is read twice, ``first`` or ``later``; ``between`` is the time
        from one to the other. Empty: the quantity is read once.
    """

    name: str
    text: str
    kind: str
    unit: str
    resolution: float
    optional: bool = False
    moment: Literal["", "first", "later", "between"] = ""


@dataclass(frozen=True)
class Ambient:
    """Air around the bench: pressure [Pa absolute] and temperature [K]."""

    pressure: float = STANDARD_PRESSURE
    temperature: float = 293.15


@dataclass(frozen=True)
class SheetField:
    """One value of the shop's data sheet that a quantity or a calculation may use.

    Parameters
    ----------
    unit : of the number on the sheet; also the end of the field's name.
    kind : key of `kinds.KINDS`.
    text : what it is.
    known : half-width within which a value on the sheet is true [unit].
    typical, width : stand-in and its half-width where the sheet is silent [unit]; None where a
        stand-in would be an invention.
    """

    unit: str
    kind: str
    text: str
    known: float
    typical: float | None = None
    width: float = 0.0


# Typical ranges: common practice (no source); charge from memory.
SHEET_FIELDS: Mapping[str, SheetField] = {
    "air_can_volume_cc": SheetField("cc", "can volume", "air can volume", 5, 100, 50),
    "hose_volume_cc": SheetField("cc", "hose volume", "hose and gauge volume", 0.5, 3, 2),
    "stroke_mm": SheetField("mm", "stroke", "stroke", 0.5, 55, 10),
    "eye_to_eye_mm": SheetField("mm", "eye-to-eye length", "marked eye-to-eye length", 0.5),
    "shaft_diameter_mm": SheetField("mm", "shaft diameter", "shaft diameter", 0.05, 10, 1.5),
    "charge_psi": SheetField("psi", "charge pressure", "gas charge", 5, 250, 50),
    "set_pressure_psi": SheetField("psi", "usual pressure", "usual set pressure", 3, 170, 50),
    "maximum_pressure_psi": SheetField("psi", "maximum pressure", "marked maximum", 1),
    "wanted_sag_percent": SheetField("%", "percentage", "sag wanted", 0.1, 30, 5),
    "damper_bore_mm": SheetField("mm", "small length", "damper bore", 0.05),
    "ifp_depth_mm": SheetField("mm", "stroke length", "depth of the floating piston", 0.5),
    "oil_volume_cc": SheetField("cc", "oil volume", "oil volume", 1),
    "oil_at_40c_mm2_s": SheetField("mm2/s", "viscosity", "oil viscosity at 40 C", 0.5),
    "oil_at_100c_mm2_s": SheetField("mm2/s", "viscosity", "oil viscosity at 100 C", 0.1),
    "seal_head_torque_nm": SheetField("N·m", "torque", "seal head torque", 0.5),
}


@dataclass(frozen=True)
class PictureData:
    """A small chart as plain numbers, for whoever draws.

    Parameters
    ----------
    series : name and points (x, y) of each line.
    band : (x, low, high) of an expected range; may be empty.
    """

    title: str
    description: str
    x_label: str
    y_label: str
    series: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]
    band: tuple[tuple[float, float, float], ...] = ()
    band_label: str = ""


@dataclass(frozen=True)
class QuantityResult:
    """What the readings come to.

    Parameters
    ----------
    value, uncertainty : in `unit`; the uncertainty is one standard deviation.
    unit : the quantity's own unit.
    lines : what a mechanic can repeat to a customer: three lines, and one for a marked maximum.
    assumptions : each stand-in that was used, as a sentence.
    picture : chart where one helps.
    over_maximum : chance, 0..1, that a gauge pressure that was read lies above the marked maximum;
        None where none was read or no maximum is known.
    """

    value: float
    uncertainty: float
    unit: str
    lines: tuple[str, ...]
    assumptions: tuple[str, ...] = ()
    picture: PictureData | None = None
    over_maximum: float | None = None


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value known to lie within +- `half_width`: a/sqrt(3).

    Source: GUM (JCGM 100:2008) 4.3.7.

    >>> round(rectangular(1.0), 4)
    0.5774
    """
    return half_width / sqrt(3.0)


def measure(spec: ReadingSpec, text: str) -> Measured:
    """The reading that `text` gives for `spec`, in SI with its uncertainty.

    Raises
    ------
    InputError : as `typed.read`, naming the reading.

    >>> spec = ReadingSpec("before", "gauge at the start", "air pressure", "psi", 1.0)
    >>> round(measure(spec, "165 psi").uncertainty / 6894.757, 3)
    0.289
    """
    dimension = KINDS[spec.kind].dimension
    step = from_unit(spec.resolution, spec.unit, dimension) - from_unit(0.0, spec.unit, dimension)
    return read(text, spec.kind, resolution=step, where=spec.name)


@dataclass
class Inputs:
    """Readings, sheet and air of one computation; collects the stand-ins used."""

    readings: Mapping[str, Measured]
    sheet: Mapping[str, float]
    ambient: Ambient
    assumptions: list[str] = field(default_factory=list)

    def has(self, name: str) -> bool:
        """Whether the reading was taken."""
        return name in self.readings

    def number(self, value: float, uncertainty: float) -> Uncertain:
        """A value [SI] with its standard uncertainty, ready to compute with."""
        from uncertainties import ufloat  # ~80 ms: only the first result pays for it

        # The library warns about an uncertainty of exactly zero.
        return ufloat(value, max(uncertainty, 1e-12 * abs(value), 1e-30))

    def through(self, function: Callable[..., float], *values: Uncertain) -> Uncertain:
        """`function` of uncertain values, with the uncertainty carried through (GUM 5.1.2)."""
        from uncertainties import wrap

        return wrap(function)(*values)

    def reading(self, name: str) -> Uncertain:
        """A reading that was taken [SI]."""
        taken = self.readings[name]
        return self.number(taken.value, taken.uncertainty)

    def knows(self, name: str) -> bool:
        """Whether the sheet has a value."""
        return name in self.sheet

    def from_sheet(self, name: str) -> Uncertain:
        """A value of the sheet [SI], or its stated typical range.

        Raises
        ------
        InputError : the value cannot be, or is missing and has no stand-in.
        """
        spec = SHEET_FIELDS[name]
        dimension = KINDS[spec.kind].dimension
        scale = from_unit(1.0, spec.unit, dimension)
        if name in self.sheet:
            value = self.sheet[name]
            if not value > 0:
                raise InputError(
                    f"The {spec.text} on the data sheet is {value:.6g}; it must be above zero.",
                    where=name,
                    next_step="Correct the data sheet.",
                )
            require_possible(value * scale, spec.kind, unit=spec.unit, where=name)
            return self.number(value * scale, rectangular(spec.known * scale))
        if spec.typical is None:
            raise InputError(
                f"The {spec.text} is not known.",
                where=name,
                next_step="Read it on the shock, or enter it on the shock's data sheet.",
            )
        middle = render(spec.typical * scale, spec.unit, dimension=dimension)
        wide = render(spec.width * scale, spec.unit, dimension=dimension)
        self.assumptions.append(
            f"{spec.text} is not on the data sheet: taken as {middle} ± {wide}, a typical range."
        )
        return self.number(spec.typical * scale, rectangular(spec.width * scale))

    def reading_or_sheet(self, reading: str, name: str) -> Uncertain:
        """The reading where it was taken, else the sheet's value or its typical range [SI].

        Raises
        ------
        InputError : the reading is not above zero; such values are what others are divided by.
        """
        if not self.has(reading):
            return self.from_sheet(name)
        if not self.readings[reading].value > _NOTHING:
            raise InputError(
                f"The {SHEET_FIELDS[name].text} must be above zero.",
                where=reading,
                next_step="Read it again, or leave it out.",
            )
        return self.reading(reading)

    def result(
        self,
        value: Uncertain,
        unit: str,
        lines: tuple[str, ...],
        picture: PictureData | None = None,
        per_unit: float = 1.0,
    ) -> QuantityResult:
        """Close the computation: `value` [SI] in `unit`, of which one is `per_unit` [SI]."""
        done = value / per_unit
        return QuantityResult(
            float(done.nominal_value),
            float(done.std_dev),
            unit,
            lines,
            tuple(self.assumptions),
            picture,
        )


@dataclass(frozen=True)
class Quantity:
    """One number that the bench can find, by id.

    Parameters
    ----------
    id : what a measuring check names.
    name : for people.
    unit : of the result.
    readings : what to take.
    sheet_fields : keys of `SHEET_FIELDS` that make it better.
    formula : from inputs to result.
    possible : lowest and highest result that a shock on a bench can give [unit]; what a card
        expects outside it is a slip. Common practice (no source).
    """

    id: str
    name: str
    unit: str
    readings: tuple[ReadingSpec, ...]
    sheet_fields: tuple[str, ...]
    formula: Callable[[Inputs], QuantityResult]
    possible: tuple[float, float]

    def reading(self, name: str) -> ReadingSpec:
        """The specification of one reading.

        Raises
        ------
        InputError : this quantity takes no such reading.
        """
        for spec in self.readings:
            if spec.name == name:
                return spec
        raise InputError(
            f"'{name}' is no reading of {self.name}.",
            where=self.id,
            next_step=f"It takes: {', '.join(spec.name for spec in self.readings)}.",
        )

    def compute(
        self,
        readings: Mapping[str, Measured],
        sheet: Mapping[str, float] | None = None,
        ambient: Ambient | None = None,
    ) -> QuantityResult:
        """Result of the readings.

        Parameters
        ----------
        readings : by name, in SI, as `measure` gives them.
        sheet : by field name, in the unit that the name ends in; other keys are ignored.
        ambient : air around the bench.

        Raises
        ------
        InputError : a reading is missing, unknown, or cannot be true beside the others.
        """
        for name, taken in readings.items():
            wanted = KINDS[self.reading(name).kind].dimension
            if KINDS[taken.kind].dimension != wanted:
                raise InputError(
                    f"{name} must be a {wanted}, not a {taken.kind}.",
                    where=self.id,
                    next_step="Take the reading again.",
                )
        missing = [
            spec.name for spec in self.readings if not spec.optional and spec.name not in readings
        ]
        if missing:
            raise InputError(
                f"{self.name} still needs: {', '.join(missing)}.",
                where=self.id,
                next_step="Take the missing reading.",
            )
        return self.formula(Inputs(readings, sheet or {}, ambient or Ambient()))
