"""Plots in the page of a scorecard, as SVG in its own colours: small panels, side by side or one below the other."""

from __future__ import annotations

import html
import math
from collections.abc import Mapping, Sequence
from typing import Any

WIDE, HIGH = 320, 150  # of a panel, in units that are pixels where it is shown at its own size
LEFT, RIGHT, TOP, BOTTOM = 34, 10, 8, 34
SIZES = (0.0, 1.25)  # effective severities that are drawn


def text(value: Any) -> str:
    """Words as HTML."""
    return html.escape(str(value))


def figure(title: str, note: str, drawn: str) -> str:
    """A panel with its name, and what is said below it."""
    return f"<figure><figcaption><b>{text(title)}</b><span>{text(note)}</span></figcaption>{drawn}</figure>"


def detection(points: Sequence[Sequence[float]], half: float | None) -> str:
    """Each clip as a dot, found (above) or not (below) against effective severity; a line at half of them."""
    parts = _axes((0, 0.5, 1), SIZES, "effective severity")
    for y, word in ((_up(0.85), "yes"), (_up(0.15), "no")):
        parts.append(f'<text x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end" class="soft">{word}</text>')
    for k, (severity, found) in enumerate(points):
        y = _up((0.85 if found else 0.15) + 0.1 * math.sin(7.0 * k))  # so that like ones stand apart
        kind = "found" if found else "missed"
        parts.append(
            f'<circle cx="{_along(severity, SIZES):.1f}" cy="{y:.1f}" r="4" class="{kind}" opacity=".7"/>'
        )
    if half is not None and half <= SIZES[1]:
        x = _along(half, SIZES)
        parts.append(f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP}" y2="{HIGH - BOTTOM}" class="mark"/>')
    return _svg(parts, WIDE, HIGH, "found or not found against effective severity")


def roc(points: Sequence[Sequence[float]]) -> str:
    """Share of faulty clips against share of clean clips that score as high, for every threshold."""
    parts = _axes((0, 0.5, 1), (0, 1), "share of clean clips")
    parts += [
        f'<text x="{LEFT - 6}" y="{_up(y) + 4:.1f}" text-anchor="end" class="soft">{y:g}</text>'
        for y in (0, 1)
    ]
    parts.append(f'<line x1="{LEFT}" y1="{_up(0)}" x2="{WIDE - RIGHT}" y2="{_up(1)}" class="axis"/>')
    line = " ".join(f"{_along(x, (0, 1)):.1f},{_up(y):.1f}" for x, y in points)
    parts.append(f'<polyline points="{line}" class="curve"/>')
    return _svg(parts, WIDE, HIGH, "share of faulty clips against share of clean clips")


def confusion(shares: Mapping[str, Mapping[str, float | None]]) -> str:
    """Rows: what was swum; columns: which detectors spoke, percent of the clips; for a wide screen."""
    rows, columns = list(shares), list(next(iter(shares.values())))
    cell, side, head = 40, 150, 118
    wide, high = side + cell * len(columns) + 96, head + 28 * len(rows) + 6
    parts = []
    for j, name in enumerate(columns):
        x = side + cell * (j + 0.5)
        parts.append(
            f'<text transform="translate({x:.0f},{head - 8}) rotate(-50)">{text(_words(name))}</text>'
        )
    for i, name in enumerate(rows):
        y = head + 28 * i
        parts.append(f'<text x="{side - 8}" y="{y + 19}" text-anchor="end">{text(_swum(name))}</text>')
        parts += [_cell(side + cell * j, y, shares[name].get(other)) for j, other in enumerate(columns)]
    drawn = _svg(parts, wide, high, "what is taken for what, in percent")
    return f'<div class="broad" style="max-width: {wide}px">{drawn}</div>'


def confusion_list(shares: Mapping[str, Mapping[str, float | None]]) -> str:
    """The same as sentences, for a phone."""
    lines = []
    for name, row in shares.items():
        spoke = sorted(((v, k) for k, v in row.items() if v), reverse=True)
        said = ", ".join(f"{_words(k)} {100 * v:.0f} %" for v, k in spoke) or "no detector"
        who = _swum(name)
        lines.append(
            f"<li><b>{text(who)}</b>: {text(said if any(v is not None for v in row.values()) else 'no clip')}</li>"
        )
    return f'<ul class="narrow">{"".join(lines)}</ul>'


def errors(rows: Sequence[tuple]) -> str:
    """Limits of agreement as bars about the bias; rows of (name, bias, low, high) of one unit."""
    most = max(max(abs(low), abs(high)) for _, _, low, high in rows) or 1.0
    step, high = 36, 36 * len(rows) + 26
    parts = [f'<line x1="{WIDE / 2}" x2="{WIDE / 2}" y1="4" y2="{high - 22}" class="axis"/>']
    for k, (name, bias, least, greatest) in enumerate(rows):
        y = step * k + 26
        a, b, c = (WIDE / 2 + (WIDE / 2 - 8) * v / most for v in (least, greatest, bias))
        parts.append(f'<text x="2" y="{y - 9}">{text(_words(name))}</text>')
        parts.append(f'<line x1="{a:.1f}" x2="{b:.1f}" y1="{y}" y2="{y}" class="bar"/>')
        parts.append(f'<circle cx="{c:.1f}" cy="{y}" r="4" class="bias"/>')
    for x, value, anchor in ((8, -most, "start"), (WIDE / 2, 0, "middle"), (WIDE - 8, most, "end")):
        parts.append(f'<text x="{x}" y="{high - 6}" text-anchor="{anchor}" class="soft">{value:.3g}</text>')
    return _svg(parts, WIDE, high, "bias and 95 % limits of agreement")


def _swum(slug: str) -> str:
    return "clean swimmers" if slug == "none" else _words(slug)


def _words(slug: str) -> str:
    return slug.replace("_", " ")


def _cell(x: float, y: float, share: float | None) -> str:
    if share is None:
        return f'<text x="{x + 20}" y="{y + 19}" text-anchor="middle" class="soft">.</text>'
    box = f'<rect x="{x + 1}" y="{y + 1}" width="38" height="26" class="cell" opacity="{0.08 + 0.92 * share:.2f}"/>'
    kind = "strong" if share > 0.5 else ""
    return box + (
        f'<text x="{x + 20}" y="{y + 19}" text-anchor="middle" class="{kind}">{100 * share:.0f}</text>'
        if share
        else ""
    )


def _axes(ticks: Sequence[float], over: tuple[float, float], says: str) -> list[str]:
    base = HIGH - BOTTOM
    frame = f'<path d="M{LEFT} {TOP} V{base} H{WIDE - RIGHT}" class="axis"/>'
    marks = [
        f'<text x="{_along(tick, over):.1f}" y="{base + 15}" text-anchor="middle" class="soft">{tick:g}</text>'
        for tick in ticks
    ]
    middle = (LEFT + WIDE - RIGHT) / 2
    return [
        frame,
        *marks,
        f'<text x="{middle}" y="{HIGH - 4}" text-anchor="middle" class="soft">{says}</text>',
    ]


def _along(value: float, over: tuple[float, float]) -> float:
    share = (min(max(value, over[0]), over[1]) - over[0]) / (over[1] - over[0])
    return LEFT + 4 + share * (WIDE - RIGHT - LEFT - 8)


def _up(share: float) -> float:
    return HIGH - BOTTOM - 3 - share * (HIGH - BOTTOM - TOP - 6)


def _svg(parts: Sequence[str], wide: float, high: float, says: str) -> str:
    return f'<svg viewBox="0 0 {wide:g} {high:g}" role="img" aria-label="{text(says)}">{"".join(parts)}</svg>'
