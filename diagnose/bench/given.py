"""The inputs of a formula: what each is, and where its value comes from.

Rules
-----
- A value that was typed goes before the data sheet, the data sheet before a stand-in.
- A missing value is never invented: a stated default or the stated typical range takes its place,
  the range with its width, and `Given.assumptions` says so.
- Uncertainty is carried by the library `uncertainties`, which is imported when it is first wanted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import sqrt
from typing import Any, Literal

from diagnose.bench.gas import STANDARD_PRESSURE
from diagnose.bench.kinds import KINDS
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.bench.typed import Measured, believable, read, require_possible
from diagnose.bench.units import from_unit, render
from diagnose.errors import InputError

__all__ = [
    "HOSE",
    "SURE",
    "VOLUME",
    "Ambient",
    "Given",
    "Input",
    "Uncertain",
    "measure",
    "rectangular",
]

_NOTHING = 1e-9  # SI: a cubic millimetre, a nanometre; below it a quotient means nothing

SURE = 2.0
"""Coverage of an expanded uncertainty, about 95 % (GUM 6.3.3)."""

Uncertain = Any
"""A number of the library `uncertainties`, which ships no types."""


@dataclass(frozen=True)
class Input:
    """One value that a formula wants.

    Parameters
    ----------
    name : key.
    text : what it is, or what to read, for the person at the bench.
    kind : key of `kinds.KINDS`.
    default : text taken where nothing is known; '' where the formula can do without; None where
        the value must be given.
    sheet : key of `SHEET_FIELDS` that answers where nothing is typed.
    typical : without either, the typical range of the sheet's field is taken.
    unit : unit to ask for; empty: that of the kind.
    resolution : smallest step of the usual instrument [unit]; None: the last digit typed.
    moment : of a formula whose readings lie apart in time, ``first`` or ``later``; ``between`` is
        the time from one to the other. Empty: whenever.
    asked : a check asks for it; False where it is a number of the shock that nobody reads there.
    """

    name: str
    text: str
    kind: str
    default: str | None = None
    sheet: str = ""
    typical: bool = False
    unit: str = ""
    resolution: float | None = None
    moment: Literal["", "first", "later", "between"] = ""
    asked: bool = True

    @property
    def optional(self) -> bool:
        """Whether it may be left out."""
        return self.typical or self.default is not None

    @property
    def wanted_unit(self) -> str:
        """The unit to ask for."""
        return self.unit or KINDS[self.kind].unit

    @property
    def usual(self) -> str:
        """What is usual for it, in words."""
        return believable(self.kind, self.wanted_unit)


#: chamber and hose, which nobody reads at the bench
VOLUME = Input(
    "volume",
    "air can volume",
    "can volume",
    sheet="air_can_volume_cc",
    typical=True,
    asked=False,
)
HOSE = Input(
    "hose",
    "hose and gauge volume",
    "hose volume",
    sheet="hose_volume_cc",
    typical=True,
    asked=False,
)


@dataclass(frozen=True)
class Ambient:
    """Air around the bench: pressure [Pa absolute] and temperature [K]."""

    pressure: float = STANDARD_PRESSURE
    temperature: float = 293.15


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value known to lie within +- `half_width`: a/sqrt(3).

    Source: GUM (JCGM 100:2008) 4.3.7.

    >>> round(rectangular(1.0), 4)
    0.5774
    """
    return half_width / sqrt(3.0)


def measure(wanted: Input, text: str) -> Measured:
    """The value that `text` gives for an input, in SI with its uncertainty.

    A bare number counts in the unit that the input asks for.

    Raises
    ------
    InputError : as `typed.read`, naming the input.

    >>> wanted = Input("before", "gauge at the start", "air pressure", unit="psi", resolution=1.0)
    >>> round(measure(wanted, "165 psi").uncertainty / 6894.757, 3)
    0.289
    """
    dimension, unit, step = KINDS[wanted.kind].dimension, wanted.wanted_unit, 0.0
    if wanted.resolution is not None:
        step = from_unit(wanted.resolution, unit, dimension) - from_unit(0.0, unit, dimension)
    return read(text, wanted.kind, unit=unit, resolution=step, where=wanted.name)


@dataclass
class Given:
    """The inputs of one computation, each found when it is first used; collects the stand-ins.

    Parameters
    ----------
    inputs : what the formula wants, by name.
    taken : what was typed, by name.
    sheet : numbers of the data sheet by field, in the unit that the name ends in.
    found : value and standard uncertainty [SI] of each input that was used.
    """

    inputs: Mapping[str, Input]
    taken: Mapping[str, Measured]
    sheet: Mapping[str, float]
    ambient: Ambient
    assumptions: list[str] = field(default_factory=list)
    found: dict[str, tuple[float, float]] = field(default_factory=dict)

    def __getitem__(self, name: str) -> float:
        """The plain value of an input [SI].

        Raises
        ------
        InputError : it is not known, or cannot be.
        """
        return self._find(name)[0]

    def has(self, name: str) -> bool:
        """Whether the input was typed."""
        return name in self.taken

    def known(self, name: str) -> bool:
        """Whether the input was typed or stands on the sheet."""
        return name in self.taken or self.inputs[name].sheet in self.sheet

    def get(self, name: str) -> float | None:
        """The plain value of an input that may be missing [SI]."""
        return self[name] if self.known(name) else None

    def uncertain(self, name: str) -> Uncertain:
        """The value of an input with its uncertainty [SI].

        Raises
        ------
        InputError : as `__getitem__`; a number of the shock is not above zero, since others are
            divided by such.
        """
        value, spread = self._find(name)
        wanted = self.inputs[name]
        if wanted.sheet and not value > _NOTHING:
            raise InputError(
                f"The {SHEET_FIELDS[wanted.sheet].text} must be above zero.",
                where=name,
                next_step="Read it again, or leave it out.",
            )
        return self.number(value, spread)

    def number(self, value: float, uncertainty: float) -> Uncertain:
        """A value [SI] with its standard uncertainty, ready to compute with."""
        from uncertainties import ufloat  # ~80 ms: only the first result pays for it

        # The library warns about an uncertainty of exactly zero.
        return ufloat(value, max(uncertainty, 1e-12 * abs(value), 1e-30))

    def through(self, function: Callable[..., float], *values: Uncertain) -> Uncertain:
        """`function` of uncertain values, with the uncertainty carried through (GUM 5.1.2)."""
        from uncertainties import wrap

        return wrap(function)(*values)

    def from_sheet(self, field_name: str) -> tuple[float, float]:
        """A number that stands on the sheet, with its standard uncertainty [SI].

        Raises
        ------
        InputError : the value cannot be.
        """
        spec = SHEET_FIELDS[field_name]
        scale, value = _scale(field_name), self.sheet[field_name]
        if not value > 0:
            raise InputError(
                f"The {spec.text} on the data sheet is {value:.6g}; it must be above zero.",
                where=field_name,
                next_step="Correct the data sheet.",
            )
        require_possible(value * scale, spec.kind, unit=spec.unit, where=field_name)
        return value * scale, rectangular(spec.known * scale)

    def _find(self, name: str) -> tuple[float, float]:
        if name not in self.found:
            self.found[name] = self._look_up(self.inputs[name])
        return self.found[name]

    def _look_up(self, wanted: Input) -> tuple[float, float]:
        if wanted.name in self.taken:
            taken = self.taken[wanted.name]
            return taken.value, taken.uncertainty
        if wanted.sheet in self.sheet:
            return self.from_sheet(wanted.sheet)
        if wanted.default:
            self.assumptions.append(f"{wanted.text}: {wanted.default}")
            taken = measure(wanted, wanted.default)
            return taken.value, taken.uncertainty
        if wanted.typical:
            return self._typical(wanted.sheet)
        text = SHEET_FIELDS[wanted.sheet].text if wanted.sheet else wanted.text
        raise InputError(
            f"The {text} is not known.",
            where=wanted.sheet or wanted.name,
            next_step="Read it on the shock, or enter it on the shock's data sheet.",
        )

    def _typical(self, field_name: str) -> tuple[float, float]:
        spec, scale = SHEET_FIELDS[field_name], _scale(field_name)
        assert spec.typical is not None, f"{field_name}: an input calls it typical"
        dimension = KINDS[spec.kind].dimension
        middle = render(spec.typical * scale, spec.unit, dimension=dimension)
        wide = render(spec.width * scale, spec.unit, dimension=dimension)
        self.assumptions.append(
            f"{spec.text} is not on the data sheet: taken as {middle} ± {wide}, a typical range."
        )
        return spec.typical * scale, rectangular(spec.width * scale)


def _scale(field_name: str) -> float:
    """One of a sheet's unit [SI]."""
    spec = SHEET_FIELDS[field_name]
    return from_unit(1.0, spec.unit, KINDS[spec.kind].dimension)
