"""Charts as SVG: one self-contained element, readable in print and by a screen reader.

Lines differ by dash and marker as well as by colour, and each is named in the key.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from html import escape

from diagnose.pictures.chart import Chart, Drawable, Points, frame, longest, number

__all__ = ["bars_svg", "chart_svg", "line_chart"]

# Dark enough for contrast 4.5:1 on white, told apart by dash where colour is lost.
_STROKES = (
    ("#1b4f8a", ""),
    ("#9a3412", "6 3"),
    ("#14532d", "2 3"),
    ("#6b21a8", "8 3 2 3"),
    ("#374151", "1 2"),
)
_LEFT, _RIGHT, _TOP, _BOTTOM = 56.0, 16.0, 28.0, 44.0
_KEY_ROW = 16.0


def _at(value: float) -> str:
    return f"{value:.1f}"


def _open(title: str, description: str, width: float, height: float) -> list[str]:
    # Several pictures share a page, so the ids come from what is in them.
    ident = f"p{zlib.crc32((title + description).encode()):08x}"
    return [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" '
        f'width="{width:.0f}" height="{height:.0f}" role="img" '
        f'aria-labelledby="{ident}t {ident}d" font-family="sans-serif" font-size="11">',
        f'<title id="{ident}t">{escape(title)}</title>',
        f'<desc id="{ident}d">{escape(description)}</desc>',
        f'<text x="{_at(width / 2)}" y="16" text-anchor="middle" font-weight="bold">'
        f"{escape(title)}</text>",
    ]


def chart_svg(chart: Drawable, width: float = 480.0, height: float = 280.0) -> str:
    """SVG element of a chart, `width` by `height` pixels plus one row of key for each line.

    Raises
    ------
    InputError : nothing to draw, or a number that is not finite.

    >>> chart = Chart("t", "d", "x", "y", (("line", ((0.0, 0.0), (1.0, 2.0))),))
    >>> chart_svg(chart).startswith("<svg ")
    True
    """
    axes = frame(chart)
    right, bottom = width - _RIGHT, height - _BOTTOM

    def place(x: float, y: float) -> str:
        across = _LEFT + axes.across(x) * (right - _LEFT)
        down = bottom - axes.up(y) * (bottom - _TOP)
        return f"{_at(across)},{_at(down)}"

    entries = len(chart.series) + bool(chart.band)
    out = _open(chart.title, chart.description, width, height + entries * _KEY_ROW)
    for tick in axes.y_ticks:
        level = bottom - axes.up(tick) * (bottom - _TOP)
        out.append(
            f'<path d="M{_at(_LEFT)},{_at(level)}H{_at(right)}" stroke="#d1d5db" fill="none"/>'
        )
        out.append(
            f'<text x="{_at(_LEFT - 6)}" y="{_at(level + 4)}" text-anchor="end">'
            f"{number(tick)}</text>"
        )
    for tick in axes.x_ticks:
        column = _LEFT + axes.across(tick) * (right - _LEFT)
        out.append(f'<path d="M{_at(column)},{_at(bottom)}v4" stroke="#374151" fill="none"/>')
        out.append(
            f'<text x="{_at(column)}" y="{_at(bottom + 16)}" text-anchor="middle">'
            f"{number(tick)}</text>"
        )
    out.append(
        f'<path d="M{_at(_LEFT)},{_at(_TOP)}V{_at(bottom)}H{_at(right)}" '
        'stroke="#374151" fill="none"/>'
    )
    out.append(
        f'<text x="{_at((_LEFT + right) / 2)}" y="{_at(height - 10)}" '
        f'text-anchor="middle">{escape(chart.x_label)}</text>'
    )
    middle = (_TOP + bottom) / 2
    out.append(
        f'<text transform="rotate(-90)" x="{_at(-middle)}" y="14" text-anchor="middle">'
        f"{escape(chart.y_label)}</text>"
    )
    row = height
    if chart.band:
        edge = [place(x, high) for x, _, high in chart.band]
        edge += [place(x, below) for x, below, _ in reversed(chart.band)]
        out.append(
            f'<polygon points="{" ".join(edge)}" fill="#9ca3af" fill-opacity="0.45" '
            'stroke="#6b7280" stroke-dasharray="1 2"/>'
        )
        out.append(
            f'<rect x="{_at(_LEFT)}" y="{_at(row)}" width="24" height="9" fill="#9ca3af" '
            'fill-opacity="0.45" stroke="#6b7280" stroke-dasharray="1 2"/>'
        )
        out.append(
            f'<text x="{_at(_LEFT + 30)}" y="{_at(row + 9)}">{escape(chart.band_label)}</text>'
        )
        row += _KEY_ROW
    for index, (name, points) in enumerate(chart.series):
        colour, dash = _STROKES[index % len(_STROKES)]
        style = f'stroke="{colour}" stroke-width="2" fill="none"'
        style += f' stroke-dasharray="{dash}"' if dash else ""
        out.append(f'<polyline points="{" ".join(place(x, y) for x, y in points)}" {style}/>')
        if len(points) <= 12:
            for x, y in points:
                across, down = place(x, y).split(",")
                out.append(f'<circle cx="{across}" cy="{down}" r="3" fill="{colour}"/>')
        out.append(f'<path d="M{_at(_LEFT)},{_at(row + 5)}h24" {style}/>')
        out.append(f'<text x="{_at(_LEFT + 30)}" y="{_at(row + 9)}">{escape(name)}</text>')
        row += _KEY_ROW
    return "\n".join([*out, "</svg>"])


def line_chart(
    title: str,
    series: Sequence[tuple[str, Points]],
    *,
    x_label: str = "",
    y_label: str = "",
    description: str = "",
    band: Sequence[tuple[float, float, float]] = (),
    band_label: str = "",
    width: float = 480.0,
    height: float = 280.0,
) -> str:
    """SVG of named lines; `chart_svg` for callers that have no chart at hand.

    Parameters
    ----------
    series : name and points (x, y) of each line.
    band : (x, low, high) of an expected range.

    >>> "belief" in line_chart("Belief", [("belief", ((0.0, 0.1), (1.0, 0.8)))])
    True
    """
    names = ", ".join(name for name, _ in series)
    said = description or f"Line chart of {names}."
    return chart_svg(
        Chart(title, said, x_label, y_label, tuple(series), tuple(band), band_label), width, height
    )


def bars_svg(
    title: str, rows: Sequence[tuple[str, float]], *, unit: str = "", width: float = 480.0
) -> str:
    """SVG of horizontal bars from zero, one row for each (label, value >= 0).

    Raises
    ------
    InputError : no rows, or a value that is negative or not finite.

    >>> bars_svg("Causes", [("a", 0.7), ("b", 0.2)]).count("<rect")
    2
    """
    top = longest(rows, title)
    label_width = min(0.45 * width, 7.0 * max(len(label) for label, _ in rows) + 12.0)
    room = width - label_width - 64.0
    said = "; ".join(f"{label} {number(value)}{unit}" for label, value in rows)
    out = _open(title, f"Bars: {said}.", width, 28.0 + 20.0 * len(rows))
    for index, (label, value) in enumerate(rows):
        y = 26.0 + 20.0 * index
        long = room * value / top
        out.append(
            f'<text x="{_at(label_width - 6)}" y="{_at(y + 12)}" text-anchor="end">'
            f"{escape(label)}</text>"
        )
        out.append(
            f'<rect x="{_at(label_width)}" y="{_at(y + 2)}" width="{_at(long)}" '
            'height="13" fill="#1b4f8a"/>'
        )
        out.append(
            f'<text x="{_at(label_width + long + 5)}" y="{_at(y + 12)}">'
            f"{number(value)}{escape(unit)}</text>"
        )
    return "\n".join([*out, "</svg>"])
