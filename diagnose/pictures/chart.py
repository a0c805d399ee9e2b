"""What is drawn: lines over one axis pair, an optional band, and the ticks of the axes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from diagnose.errors import InputError

__all__ = ["Chart", "Drawable", "Frame", "Points", "frame", "number", "ticks"]

Points = tuple[tuple[float, float], ...]


class Drawable(Protocol):
    """Anything with these fields can be drawn; `Chart` is one."""

    @property
    def title(self) -> str: ...
    @property
    def description(self) -> str: ...
    @property
    def x_label(self) -> str: ...
    @property
    def y_label(self) -> str: ...
    @property
    def series(self) -> tuple[tuple[str, Points], ...]: ...
    @property
    def band(self) -> tuple[tuple[float, float, float], ...]: ...
    @property
    def band_label(self) -> str: ...


@dataclass(frozen=True)
class Chart:
    """A line chart.

    Parameters
    ----------
    title, description : what it is, and what it says to someone who cannot see it.
    x_label, y_label : with the unit in brackets.
    series : name and points (x, y) of each line.
    band : (x, low, high) of an expected range; may be empty.
    """

    title: str
    description: str
    x_label: str
    y_label: str
    series: tuple[tuple[str, Points], ...]
    band: tuple[tuple[float, float, float], ...] = ()
    band_label: str = ""


@dataclass(frozen=True)
class Frame:
    """Ranges and ticks of both axes."""

    x_low: float
    x_high: float
    y_low: float
    y_high: float
    x_ticks: tuple[float, ...]
    y_ticks: tuple[float, ...]

    def across(self, x: float) -> float:
        """Place of x from 0 (left) to 1 (right)."""
        return (x - self.x_low) / (self.x_high - self.x_low)

    def up(self, y: float) -> float:
        """Place of y from 0 (bottom) to 1 (top)."""
        return (y - self.y_low) / (self.y_high - self.y_low)


def number(value: float) -> str:
    """Short text of a number on an axis.

    >>> number(0.30000000000000004), number(-0.0), number(1500.0)
    ('0.3', '0', '1500')
    """
    text = f"{value:.4g}"
    return "0" if float(text) == 0 else text


def ticks(low: float, high: float, about: int = 5) -> tuple[float, ...]:
    """Round numbers that cover low to high, stepping by 1, 2 or 5 times a power of ten.

    Raises
    ------
    InputError : a bound is not a finite number.

    >>> ticks(0.0, 47.0)
    (0.0, 10.0, 20.0, 30.0, 40.0, 50.0)
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        raise InputError("There is a number in the chart that is not finite.")
    # Closer than an axis could show is one value.
    if high - low <= max(1e-9 * max(abs(low), abs(high)), 1e-12):
        pad = abs(low) * 0.1 or 1.0
        low, high = low - pad, high + pad
    raw = (high - low) / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(size * power for size in (1.0, 2.0, 5.0, 10.0) if size * power >= raw * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(index * step for index in range(first, last + 1))


def _range(values: Sequence[float]) -> tuple[float, ...]:
    return ticks(min(values), max(values))


def frame(chart: Drawable) -> Frame:
    """Axes that hold every point and the band.

    Raises
    ------
    InputError : nothing to draw, or a number that is not finite.
    """
    points = [point for _, line in chart.series for point in line]
    xs = [x for x, _ in points] + [x for x, _, _ in chart.band]
    ys = [y for _, y in points] + [y for _, low, high in chart.band for y in (low, high)]
    if not xs:
        raise InputError(f"The chart '{chart.title}' has no points.")
    if not all(map(math.isfinite, (*xs, *ys))):
        raise InputError(f"The chart '{chart.title}' holds a number that is not finite.")
    x_ticks, y_ticks = _range(xs), _range(ys)
    return Frame(x_ticks[0], x_ticks[-1], y_ticks[0], y_ticks[-1], x_ticks, y_ticks)
