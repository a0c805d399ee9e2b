"""The shape of a calculation that the bench can do by itself: inputs with units, lines, values."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diagnose.bench.evidence import SHEET_FIELDS, PictureData
from diagnose.bench.kinds import KINDS
from diagnose.bench.typed import read
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
    kind : key of `kinds.KINDS`; its unit is the one asked for.
    default : text taken where nothing is given; None if it must be given, '' if it may be missing.
    sheet : key of `evidence.SHEET_FIELDS` that answers where nothing is given.
    """

    name: str
    text: str
    kind: str
    default: str | None = None
    sheet: str = ""


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
    assumed : each default and each value of the data sheet that was taken, as 'name: text'.
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

    def run(
        self, texts: Mapping[str, str], sheet: Mapping[str, float] | None = None
    ) -> CalculationResult:
        """Result for inputs as typed.

        Parameters
        ----------
        texts : by input name; comes before the data sheet, the data sheet before the default.
        sheet : by field name, in the unit that the name ends in.

        Raises
        ------
        InputError : an input is missing, unknown, or cannot be understood or true.
        """
        known = sheet or {}
        names = [entry.name for entry in self.inputs]
        for name in texts:
            if name not in names:
                raise InputError(
                    f"'{name}' is no input of {self.name}.",
                    where=self.name,
                    next_step=f"It takes: {', '.join(names)}.",
                )
        missing = [
            entry
            for entry in self.inputs
            if entry.default is None and entry.name not in texts and entry.sheet not in known
        ]
        if missing:
            on_sheet = "".join(
                f" {SHEET_FIELDS[entry.sheet].text} may also stand on the data sheet."
                for entry in missing[:1]
                if entry.sheet
            )
            raise InputError(
                f"{self.name} still needs: {', '.join(entry.name for entry in missing)}.",
                where=self.name,
                next_step=f"For example: {missing[0].name} '{KINDS[missing[0].kind].example}'."
                + on_sheet,
            )
        values: dict[str, float] = {}
        assumed: list[str] = []
        questions: list[str] = []
        for entry in self.inputs:
            text = texts.get(entry.name, "")
            if not text and entry.sheet in known:
                text = f"{known[entry.sheet]:.12g} {SHEET_FIELDS[entry.sheet].unit}"
                assumed.append(f"{entry.text}: {text}, from the data sheet")
            elif not text and entry.default:
                text = entry.default
                assumed.append(f"{entry.text}: {text}")
            if not text:
                continue
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


def both(pressure: float) -> str:
    """Text of a pressure [Pa] as a pump shows it and as a sheet gives it.

    >>> both(12e5)
    '174 psi (12 bar)'
    """
    return f"{render(pressure, 'psi')} ({render(pressure, 'bar')})"
