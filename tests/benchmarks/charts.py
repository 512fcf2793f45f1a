"""A bar chart as SVG, written by hand: one more library for a chart or two would be too much.

Groups of bars beside each other, a line at a level to compare with, a word where there is no bar. No other module of
the project is known here.
"""

from collections.abc import Mapping, Sequence
from html import escape

COLOURS = ("#1f5a7a", "#c46a2b", "#5b8c3e", "#8a5a9e", "#b0a02f", "#777777")
LEFT, TOP, HIGH, BAR, GAP, FOOT = 60, 56, 260, 26, 30, 50


def bars(
    title: str,
    unit: str,
    groups: Sequence[str],
    series: Mapping[str, Sequence[float | None]],
    level: float | None = None,
) -> str:
    """The chart as text of an SVG file. A value of None stands for "nothing found" and is drawn as a cross."""
    known = [value for values in series.values() for value in values if value is not None]
    top = max([*known, level or 0, 1e-9]) * 1.1
    group_width = BAR * len(series) + GAP
    width = LEFT + group_width * len(groups) + GAP
    width = max(width, LEFT + 9 * sum(len(name) + 4 for name in series), LEFT + GAP + 8 * len(title))
    height = TOP + HIGH + FOOT
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" font-family="sans-serif">',
        f'<rect width="{width}" height="{height}" fill="white"/>',
        _text(LEFT, 20, title, 15),
    ]
    parts += _legend(list(series))
    parts += _axis(top, unit, width)
    for place, group in enumerate(groups):
        left = LEFT + GAP / 2 + place * group_width
        parts.append(_text(left, TOP + HIGH + 18, group, 12))
        for number, values in enumerate(series.values()):
            parts.append(_bar(left + number * BAR, values[place], top, COLOURS[number % len(COLOURS)]))
    if level is not None:
        y = TOP + HIGH * (1 - level / top)
        parts.append(f'<line x1="{LEFT}" x2="{width}" y1="{y:.1f}" y2="{y:.1f}" stroke="#222" stroke-dasharray="4 3"/>')
    return "\n".join([*parts, "</svg>", ""])


def _text(x: float, y: float, text: str, size: int, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" text-anchor="{anchor}">{escape(text)}</text>'


def _legend(names: Sequence[str]) -> list[str]:
    parts, x = [], float(LEFT)
    for number, name in enumerate(names):
        parts.append(f'<rect x="{x:.1f}" y="32" width="11" height="11" fill="{COLOURS[number % len(COLOURS)]}"/>')
        parts.append(_text(x + 15, 42, name, 12))
        x += 30 + 7.2 * len(name)
    return parts


def _axis(top: float, unit: str, width: float) -> list[str]:
    parts = []
    for step in range(5):
        value = top * step / 4
        y = TOP + HIGH * (1 - step / 4)
        parts.append(f'<line x1="{LEFT}" x2="{width}" y1="{y:.1f}" y2="{y:.1f}" stroke="#ddd"/>')
        parts.append(_text(LEFT - 6, y + 4, f"{value:.3g}", 11, "end"))
    return [*parts, _text(4, TOP - 8, unit, 11)]


def _bar(x: float, value: float | None, top: float, colour: str) -> str:
    if value is None:
        return _text(x + BAR / 2, TOP + HIGH - 4, "✕", 14, "middle")
    tall = HIGH * value / top
    bar = f'<rect x="{x:.1f}" y="{TOP + HIGH - tall:.1f}" width="{BAR - 4}" height="{tall:.1f}" fill="{colour}">'
    return f"{bar}<title>{value:.4g}</title></rect>"
