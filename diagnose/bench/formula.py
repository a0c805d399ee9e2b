"""The shape of everything that the bench computes: inputs, arithmetic in lines, values.

Rules
-----
- One shape for both uses: a person types the inputs of ``diagnose calc``, a measuring check asks
  for those that are read at the bench. A check may name a formula that says what it can give
  (`Formula.possible`); its first value is the one that counts.
- A formula judges nothing. Which finding its number makes likelier is knowledge.
- Every value has a standard uncertainty. A formula that computes with `Given.uncertain` brings its
  own; in any other each input is moved by its uncertainty both ways, and half of what that changes
  is taken (GUM 5.1.3, note 2).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from math import hypot

from diagnose.bench.decay import Decay
from diagnose.bench.given import Ambient, Given, Input, Uncertain
from diagnose.bench.kinds import KINDS
from diagnose.bench.sheet_fields import SHEET_FIELDS
from diagnose.bench.typed import Measured
from diagnose.bench.units import render, to_unit
from diagnose.errors import InputError

__all__ = ["Formula", "Outcome", "PictureData", "Result", "Value", "both"]


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
class Outcome:
    """What a formula hands back.

    Parameters
    ----------
    lines : the arithmetic in words, to be repeated to a customer.
    values : name, number [SI], unit and dimension of each result; the number plain or uncertain.
    over_maximum, response, notes : as in `Result`.
    """

    lines: tuple[str, ...]
    values: tuple[tuple[str, Uncertain, str, str], ...]
    picture: PictureData | None = None
    over_maximum: float | None = None
    response: Decay | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Value:
    """One result as a program reads it: number and standard uncertainty in a unit."""

    name: str
    value: float
    uncertainty: float
    unit: str


@dataclass(frozen=True)
class Result:
    """What the inputs come to.

    Parameters
    ----------
    lines : what a mechanic can repeat to a customer: three lines, and one for a marked maximum.
    values : each result; the first is the one that a measuring check judges by.
    assumptions : each value that nobody gave, with what was taken for it.
    questions : each input that is hardly true, as the sentence to ask.
    picture : chart where one helps.
    over_maximum : chance, 0..1, that a gauge pressure that was read lies above the marked maximum;
        None where none was read or no maximum is known.
    response : first value that a shock of a given rate would show, where the finding is a rate and
        what is read hangs on the time; None: the finding is the first value itself.
    notes : what follows from the readings and must be told with the judgement.
    """

    lines: tuple[str, ...]
    values: tuple[Value, ...]
    assumptions: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    picture: PictureData | None = None
    over_maximum: float | None = None
    response: Decay | None = None
    notes: tuple[str, ...] = ()

    @property
    def value(self) -> float:
        """The first value, in `unit`."""
        return self.values[0].value

    @property
    def uncertainty(self) -> float:
        """Standard uncertainty of the first value, in `unit`."""
        return self.values[0].uncertainty

    @property
    def unit(self) -> str:
        """Unit of the first value."""
        return self.values[0].unit


@dataclass(frozen=True)
class Formula:
    """One thing that the bench can compute, by name.

    Parameters
    ----------
    name : key; never used again for anything else.
    text : what it is, for people.
    inputs : what it wants.
    work : from inputs in SI to an outcome.
    source : where the arithmetic comes from.
    unit : of the first value, where a measuring check may name the formula.
    possible : lowest and highest first value that a shock on a bench can give [unit]; what a card
        expects outside it is a slip. Common practice (no source). None: no check names it.
    further : name and possible range of values besides the first that a card may name.
    """

    name: str
    text: str
    inputs: tuple[Input, ...]
    work: Callable[[Given], Outcome]
    source: str
    unit: str = ""
    possible: tuple[float, float] | None = None
    further: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    @property
    def readings(self) -> tuple[Input, ...]:
        """The inputs that a measuring check asks for."""
        return tuple(wanted for wanted in self.inputs if wanted.asked)

    @property
    def waits(self) -> bool:
        """Whether its readings lie apart in time, so that the wait decides what is seen."""
        return any(wanted.moment == "between" for wanted in self.inputs)

    def input(self, name: str) -> Input:
        """One input.

        Raises
        ------
        InputError : this formula takes no such input.
        """
        for wanted in self.inputs:
            if wanted.name == name:
                return wanted
        raise InputError(
            f"'{name}' is no input of {self.name}.",
            where=self.name,
            next_step=f"It takes: {', '.join(wanted.name for wanted in self.inputs)}.",
        )

    def compute(
        self,
        taken: Mapping[str, Measured],
        sheet: Mapping[str, float] | None = None,
        ambient: Ambient | None = None,
    ) -> Result:
        """Result of what was typed.

        Parameters
        ----------
        taken : by name of the input, in SI, as `given.measure` gives them.
        sheet : by field name, in the unit that the name ends in; other keys are ignored.
        ambient : air around the bench.

        Raises
        ------
        InputError : an input is missing, unknown, or cannot be true beside the others.
        """
        known = sheet or {}
        self._check(taken, known)
        inputs = {wanted.name: wanted for wanted in self.inputs}
        given = Given(inputs, taken, known, ambient or Ambient())
        outcome = self.work(given)
        moved = self._moved(given, outcome)
        return Result(
            outcome.lines,
            tuple(_value(row, moved) for row in outcome.values),
            tuple(given.assumptions),
            tuple(f"{name}: {m.question}" for name, m in taken.items() if m.question),
            outcome.picture,
            outcome.over_maximum,
            outcome.response,
            outcome.notes,
        )

    def _check(self, taken: Mapping[str, Measured], sheet: Mapping[str, float]) -> None:
        for name, value in taken.items():
            dimension = KINDS[self.input(name).kind].dimension
            if KINDS[value.kind].dimension != dimension:
                raise InputError(
                    f"{name} must be a {dimension}, not a {value.kind}.",
                    where=self.name,
                    next_step="Take the reading again.",
                )
        missing = [
            wanted
            for wanted in self.inputs
            if not wanted.optional and wanted.name not in taken and wanted.sheet not in sheet
        ]
        if missing:
            first = missing[0]
            on_sheet = ""
            if first.sheet:
                text = SHEET_FIELDS[first.sheet].text
                on_sheet = f" {text} may also stand on the data sheet."
            raise InputError(
                f"{self.name} still needs: {', '.join(wanted.name for wanted in missing)}.",
                where=self.name,
                next_step=f"For example: {first.name} '{KINDS[first.kind].example}'." + on_sheet,
            )

    def _moved(self, given: Given, outcome: Outcome) -> dict[str, float]:
        """Standard uncertainty [SI] of each plain value of an outcome."""
        plain = {name: number for name, number, *_ in outcome.values if isinstance(number, float)}
        spread = dict.fromkeys(plain, 0.0)
        for name, (value, uncertainty) in given.found.items() if plain else ():
            ends = []
            for end in (value + uncertainty, value - uncertainty):
                beside = replace(given, found={**given.found, name: (end, uncertainty)})
                try:
                    ends.append({row[0]: row[1] for row in self.work(beside).values})
                except InputError:  # beyond what can be: the other end alone says how it moves
                    ends.append(plain)
            reach = 2.0 if plain not in ends else 1.0
            for key, middle in plain.items():
                high, low = (moved.get(key, middle) for moved in ends)
                spread[key] = hypot(spread[key], (high - low) / reach)
        return spread


def _value(row: tuple[str, Uncertain, str, str], moved: Mapping[str, float]) -> Value:
    name, number, unit, dimension = row
    middle, spread = (
        (number, moved[name])
        if name in moved
        else (float(number.nominal_value), float(number.std_dev))
    )
    value = to_unit(middle, unit, dimension)
    zero = to_unit(0.0, unit, dimension)
    return Value(name, value, abs(to_unit(spread, unit, dimension) - zero), unit)


def both(pressure: float) -> str:
    """Text of a pressure [Pa] as a pump shows it and as a sheet gives it.

    >>> both(12e5)
    '174 psi (12 bar)'
    """
    return f"{render(pressure, 'psi')} ({render(pressure, 'bar')})"
