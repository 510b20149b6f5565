"""Chart of what faults cost: a dot and its interval for each, dearest at the top."""

from __future__ import annotations

import os
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from ..ground.files import whole_file
from .colours import THEMES, Colour

WIDE_IN, ROW_IN, HEAD_IN, FOOT_IN = 9.0, 0.34, 0.75, 1.45
DPI = 110
REASON_LETTERS = 88
FINE_LETTERS = 148


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
        From top to bottom.
    axis : str
        What the numbers are, with their unit.
    fine_print : sequence of str
        Sentences below the chart.
    """
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib.figure import Figure

    theme = THEMES["light"]
    fine = "\n".join(line for text in fine_print for line in textwrap.wrap(text, FINE_LETTERS))
    height = HEAD_IN + ROW_IN * max(len(bars), 1) + FOOT_IN
    figure = Figure(figsize=(WIDE_IN, height), dpi=DPI, facecolor="white")
    axes = figure.add_axes(
        (0.21, FOOT_IN / height, 0.755, ROW_IN * max(len(bars), 1) / height), facecolor="white"
    )
    for row, bar in enumerate(bars):
        _draw_bar(axes, bar, row, colour=_unit(theme.fault))
    axes.axvline(0, color="0.35", lw=1.2)
    _dress(axes, bars, axis)
    figure.text(0.02, 1 - 0.34 / height, title, fontsize=14, weight="bold", va="center")
    figure.text(0.02, 0.12 / height, fine, fontsize=7.5, color="0.25", va="bottom", linespacing=1.35)
    with whole_file(path) as part:
        figure.savefig(part, dpi=DPI, metadata={"Software": None})


def _unit(colour: Colour) -> tuple[float, ...]:
    return tuple(c / 255 for c in colour)


def _draw_bar(axes, bar: Bar, row: int, *, colour) -> None:
    if bar.median is not None:
        axes.plot([bar.low, bar.high], [row, row], color=colour, lw=3.2, solid_capstyle="round", alpha=0.55)
        axes.plot([bar.median], [row], "s", color=colour, ms=7)
        words = f"{bar.low:+.1f} to {bar.high:+.1f}" + (f"  ({bar.reason})" if bar.reason else "")
        axes.annotate(
            textwrap.shorten(words, REASON_LETTERS, placeholder=" ..."),
            (max(bar.high, bar.low), row), xytext=(8, 0), textcoords="offset points", va="center", fontsize=8,
        )  # fmt: skip
        return
    axes.annotate(
        textwrap.shorten(bar.reason, REASON_LETTERS, placeholder=" ..."),
        (0, row), xytext=(8, 0), textcoords="offset points", va="center", fontsize=8, color="0.35", style="italic",
    )  # fmt: skip


def _dress(axes, bars: Sequence[Bar], axis: str) -> None:
    ends = [end for bar in bars if bar.median is not None for end in (bar.low, bar.high)]
    low, high = min([0.0, *ends]), max([1.0, *ends])
    axes.set_xlim(low - 0.06 * (high - low), high + 0.42 * (high - low))
    axes.set_ylim(len(bars) - 0.4, -0.6)
    axes.set_yticks(range(len(bars)), [bar.name for bar in bars], fontsize=9)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(axis, fontsize=9)
    axes.grid(axis="x", color="0.88")
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
