"""The same charts in characters, for a terminal; `plain` keeps to ASCII."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from diagnose.errors import InputError
from diagnose.pictures.chart import Drawable, Frame, frame, number

__all__ = ["chart_text"]

_MARKS = "●▲■◆○"
_PLAIN_MARKS = "*+ox#"


def _safe(text: str, plain: bool) -> str:
    """Text without control characters; a picture must not move the cursor."""
    shown = "".join(sign if sign.isprintable() else " " for sign in text)
    return shown.encode("ascii", "replace").decode() if plain else shown


def _column(axes: Frame, x: float, columns: int) -> int:
    return round(axes.across(x) * (columns - 1))


def _row(axes: Frame, y: float, rows: int) -> int:
    return round((1.0 - axes.up(y)) * (rows - 1))


def _between(points: Sequence[tuple[float, ...]], x: float, which: int) -> float | None:
    """Value of the broken line at x, None outside it."""
    for left, right in pairwise(points):
        if left[0] <= x <= right[0]:
            share = 0.0 if right[0] == left[0] else (x - left[0]) / (right[0] - left[0])
            return left[which] + share * (right[which] - left[which])
    return None


def chart_text(chart: Drawable, width: int = 60, height: int = 14, *, plain: bool = False) -> str:
    """Lines of text that show the chart; `width` columns in all, `height` rows of plot.

    Parameters
    ----------
    plain : ASCII only.

    Raises
    ------
    InputError : nothing to draw, a number that is not finite, or no room (30 by 5 at least).
    """
    if width < 30 or height < 5:
        raise InputError("A chart needs at least 30 columns and 5 rows.")
    axes = frame(chart)
    labels = {_row(axes, tick, height): number(tick) for tick in axes.y_ticks}
    margin = max(len(label) for label in labels.values())
    columns = width - margin - 2
    marks, shade, side, floor, corner = (
        (_PLAIN_MARKS, ":", "|", "-", "+") if plain else (_MARKS, "░", "│", "─", "└")
    )
    grid = [[" "] * columns for _ in range(height)]
    for column in range(columns):
        x = axes.x_low + column / (columns - 1) * (axes.x_high - axes.x_low)
        low, high = _between(chart.band, x, 1), _between(chart.band, x, 2)
        if low is not None and high is not None:
            for row in range(_row(axes, high, height), _row(axes, low, height) + 1):
                grid[row][column] = shade
        for _, points in chart.series:
            y = _between(points, x, 1)
            if y is not None:
                grid[_row(axes, y, height)][column] = "." if plain else "·"
    for index, (_, points) in enumerate(chart.series):
        shown = points if len(points) <= 12 else points[:: max(1, len(points) // 8)]
        for x, y in shown:
            grid[_row(axes, y, height)][_column(axes, x, columns)] = marks[index % len(marks)]
    out = [_safe(chart.title, plain), _safe(chart.y_label, plain)]
    out += [
        f"{labels.get(row, ''):>{margin}} {side}{''.join(cells)}".rstrip()
        for row, cells in enumerate(grid)
    ]
    out.append(" " * (margin + 1) + corner + floor * columns)
    left, right = number(axes.x_low), number(axes.x_high)
    middle = _safe(chart.x_label, plain).center(max(0, columns - len(left) - len(right)))
    out.append(" " * (margin + 2) + left + middle + right)
    out += [
        f"{marks[index % len(marks)]} {_safe(name, plain)}"
        for index, (name, _) in enumerate(chart.series)
    ]
    if chart.band:
        out.append(f"{shade} {_safe(chart.band_label, plain)}")
    return "\n".join(out)
