"""Charts as SVG: one self-contained element, readable in print and by a screen reader.

Lines differ by dash and marker as well as by colour, and each is named in the key.
"""

from __future__ import annotations

import zlib
from html import escape

from diagnose.pictures.chart import Drawable, frame, number

__all__ = ["chart_svg"]

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

    >>> from diagnose.pictures.chart import Chart
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
