"""Chart of what faults cost, to be read on a phone: a dot and its interval for each, dearest at the top.

Every length is in picture points of a chart 720 wide. A phone shows it at about half of that, so nothing is written
smaller than 17 points: 9 on its screen.
"""

from __future__ import annotations

import os
import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from ..ground.files import whole_file
from .colours import THEMES, Colour

WIDE, MARGIN = 720, 26
SCALE = 1.5  # pixels per point
ROW, AXIS, GAP, PAUSE = 68, 118, 18, 9
TITLE, NAME, NUMBER, FINE = 27, 21, 20, 17
LINE = 1.32  # of the size of letters
LETTERS = {TITLE: 42, NUMBER: 66, FINE: 76}  # that fit across
DOTS_PER_INCH = 100
UNPRICED = "Faults without a price in this model"
Block = tuple[list[str], int, float, dict]  # lines, size of letters, room below, how they look


@dataclass(frozen=True)
class Bar:
    """One line of the chart: name, median and interval in seconds per 100 m, or a reason why there is none."""

    name: str
    median: float | None
    low: float | None
    high: float | None
    reason: str = ""


def draw_costs(
    bars: Sequence[Bar], path: str | os.PathLike, *, title: str, axis: str, fine_print: Sequence[str]
) -> None:
    """Write the chart as PNG.

    Parameters
    ----------
    bars : sequence of Bar
        From top to bottom; those without a number come below the axis, each with its reason.
    axis : str
        What the numbers are, with their unit.
    fine_print : sequence of str
        Sentences below the chart.
    """
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib.figure import Figure

    priced = [bar for bar in bars if bar.median is not None]
    blocks = [_wrapped(title, TITLE, weight="bold")]
    below = [
        block
        for bar in bars
        if bar.median is None
        for block in (_wrapped(bar.name, NAME), _wrapped(bar.reason, FINE, color="0.3", gap=PAUSE))
    ]
    if below:
        below.insert(0, _wrapped(UNPRICED, NAME, gap=PAUSE, weight="bold"))
    fine = [_wrapped(text, FINE, color="0.25") for text in fine_print]
    chart = ROW * len(priced) + (AXIS if priced else 0)
    height = 2 * MARGIN + 3 * GAP + chart + sum(_height(b) for b in (*blocks, *below, *fine))
    figure = Figure(
        figsize=(WIDE / DOTS_PER_INCH, height / DOTS_PER_INCH),
        dpi=SCALE * DOTS_PER_INCH,
        facecolor="white",
    )
    top = _write(figure, blocks, MARGIN, height) + GAP
    if priced:
        _draw_bars(figure, priced, axis, top=top, height=height)
    top = _write(figure, below, top + chart, height) + GAP
    _write(figure, fine, top, height)
    with whole_file(path) as part:
        figure.savefig(part, dpi=SCALE * DOTS_PER_INCH, metadata={"Software": None})


def _wrapped(text: str, size: int, *, gap: float = 0.0, **look) -> Block:
    """A text in lines that fit; a number stays with its unit."""
    text = re.sub(r"(\d) (?=[a-zA-Z%])", "\\1\u00a0", text)
    return textwrap.wrap(text, LETTERS.get(size, LETTERS[NUMBER])) or [""], size, gap, look


def _height(block: Block) -> float:
    return LINE * block[1] * len(block[0]) + block[2]


def _write(figure, blocks: Sequence[Block], top: float, height: float) -> float:
    """Write blocks below each other; return where the next one begins."""
    for lines, size, gap, look in blocks:
        for line in lines:
            figure.text(
                MARGIN / WIDE, 1 - (top + LINE * size / 2) / height, line, fontsize=_points(size), va="center", **look
            )  # fmt: skip
            top += LINE * size
        top += gap
    return top


def _points(size: float) -> float:
    """Letters of this many picture points, as the drawing library counts them."""
    return size * 72 / DOTS_PER_INCH


def _draw_bars(figure, bars: Sequence[Bar], axis: str, *, top: float, height: float) -> None:
    """The chart itself: name and numbers of each fault over its bar."""
    tall = ROW * len(bars)
    axes = figure.add_axes(
        (MARGIN / WIDE, 1 - (top + tall) / height, 1 - 2 * MARGIN / WIDE, tall / height), facecolor="white"
    )
    colour = _unit(THEMES["light"].fault)
    behind = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}
    for row, bar in enumerate(bars):
        middle = row * ROW + 0.70 * ROW
        axes.plot([bar.low, bar.high], [middle] * 2, color=colour, lw=5, solid_capstyle="round", alpha=0.55)
        axes.plot([bar.median], [middle], "s", color=colour, ms=9)
        words = f"{bar.low:+.1f} to {bar.high:+.1f} s" + (f", {bar.reason}" if bar.reason else "")
        for at, side, text, size in ((0, "left", bar.name, NAME), (1, "right", words, NUMBER)):
            axes.text(
                at, row * ROW + 0.30 * ROW, text, transform=axes.get_yaxis_transform(), ha=side, va="center",
                fontsize=_points(size), bbox=behind,
            )  # fmt: skip
    axes.axvline(0, color="0.35", lw=1.5, zorder=1)
    ends = [end for bar in bars for end in (bar.low, bar.high)]
    low, high = min([0.0, *ends]), max([1.0, *ends])
    axes.set_xlim(low - 0.02 * (high - low), high + 0.02 * (high - low))
    axes.set_ylim(tall, 0)
    axes.set_yticks([])
    axes.tick_params(axis="x", labelsize=_points(NUMBER))
    axes.set_xlabel("\n".join(textwrap.wrap(axis, LETTERS[NUMBER])), fontsize=_points(NUMBER))
    axes.grid(axis="x", color="0.9")
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)


def _unit(colour: Colour) -> tuple[float, ...]:
    return tuple(c / 255 for c in colour)
