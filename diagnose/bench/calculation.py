"""The shape of a calculation that the bench can do by itself: inputs with units, lines, values."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diagnose.bench.evidence import PictureData
from diagnose.bench.typed import KINDS, read
from diagnose.bench.units import render, to_unit
from diagnose.errors import InputError

__all__ = ["Calculation", "CalculationInput", "CalculationResult", "Outcome", "Value", "both"]


@dataclass(frozen=True)
class CalculationInput:
    """One input.

    Parameters
    ----------
    name : key.
    text : what it is.
    kind : key of `typed.KINDS`; its unit is the one asked for.
    default : text taken where nothing is given; None if it must be given, '' if it may be missing.
    """

    name: str
    text: str
    kind: str
    default: str | None = None


@dataclass(frozen=True)
class Value:
    """One result as a program reads it: number and unit."""

    name: str
    value: float
    unit: str


@dataclass(frozen=True)
class Outcome:
    """What a formula hands back: the arithmetic in lines, results [SI with unit], a picture."""

    lines: tuple[str, ...]
    values: tuple[tuple[str, float, str, str], ...]
    picture: PictureData | None = None


@dataclass(frozen=True)
class CalculationResult:
    """Result of a calculation.

    Parameters
    ----------
    lines : the arithmetic in words, to be repeated to a customer.
    values : each result with its unit.
    assumed : each default that was taken, as 'name: text'.
    questions : each input that is hardly true, as the sentence to ask.
    """

    lines: tuple[str, ...]
    values: tuple[Value, ...]
    assumed: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    picture: PictureData | None = None


@dataclass(frozen=True)
class Calculation:
    """One calculation by name; `formula` takes inputs in SI, by name."""

    name: str
    text: str
    inputs: tuple[CalculationInput, ...]
    formula: Callable[[Mapping[str, float]], Outcome]

    def run(self, texts: Mapping[str, str]) -> CalculationResult:
        """Result for inputs as typed.

        Raises
        ------
        InputError : an input is missing, unknown, or cannot be understood or true.
        """
        known = {entry.name for entry in self.inputs}
        for name in texts:
            if name not in known:
                raise InputError(
                    f"'{name}' is no input of {self.name}.",
                    where=self.name,
                    next_step=f"It takes: {', '.join(entry.name for entry in self.inputs)}.",
                )
        missing = [e.name for e in self.inputs if e.default is None and e.name not in texts]
        if missing:
            raise InputError(
                f"{self.name} still needs: {', '.join(missing)}.",
                where=self.name,
                next_step=f"For example: {missing[0]} '5 {self._unit(missing[0])}'.",
            )
        values: dict[str, float] = {}
        assumed: list[str] = []
        questions: list[str] = []
        for entry in self.inputs:
            text = texts.get(entry.name) or entry.default or ""
            if not text:
                continue
            if entry.name not in texts:
                assumed.append(f"{entry.text}: {text}")
            taken = read(text, entry.kind, where=entry.name)
            values[entry.name] = taken.value
            if taken.question:
                questions.append(f"{entry.name}: {taken.question}")
        done = self.formula(values)
        return CalculationResult(
            done.lines,
            tuple(
                Value(name, to_unit(value, unit, dimension), unit)
                for name, value, unit, dimension in done.values
            ),
            tuple(assumed),
            tuple(questions),
            done.picture,
        )

    def _unit(self, name: str) -> str:
        return next(KINDS[entry.kind].unit for entry in self.inputs if entry.name == name)


def both(pressure: float) -> str:
    """Text of a pressure [Pa] as a pump shows it and as a sheet gives it.

    >>> both(12e5)
    '174 psi (12 bar)'
    """
    return f"{render(pressure, 'psi')} ({render(pressure, 'bar')})"
