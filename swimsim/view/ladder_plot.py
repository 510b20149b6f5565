"""Error against frame rate, one line for each size of noise: small plots of measures and of events."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass

from .score_plots import COLUMNS, new_figure, save_figure

#: Colours that a colour-blind reader tells apart (Okabe, Ito 2008), each with marker and line style of its own.
_LOOKS = (("#0072B2", "o", "-"), ("#E69F00", "s", "--"), ("#000000", "^", ":"), ("#009E73", "D", "-."))
_ROW_IN = 1.75


@dataclass(frozen=True)
class Steps:
    """One small plot: title, unit, rows of (frame rate [Hz], noise [px], error), and an error to draw beside them.

    `beside` holds (frame rate, error) points of a thin grey line, named in `beside_says`.
    """

    title: str
    unit: str
    rows: Sequence[tuple[float, float, float]]
    beside: Sequence[tuple[float, float]] = ()


def draw_ladder(panels: Sequence[Steps], path: str | os.PathLike, *, title: str, beside_says: str) -> None:
    """Root-mean-square error (up) against frame rate (across), a line for each noise, for every panel."""
    rows = -(-max(len(panels), 1) // COLUMNS)
    height = _ROW_IN * rows + 1.35
    figure = new_figure(10.0, height)
    figure.text(0.02, 1 - 0.2 / height, title, fontsize=13, weight="bold", va="top")
    noises = sorted({noise for panel in panels for _, noise, _ in panel.rows})
    for i, panel in enumerate(panels):
        axes = figure.add_subplot(rows, COLUMNS, i + 1, facecolor="white")
        _draw(axes, panel, noises)
    handles, names = figure.axes[0].get_legend_handles_labels() if figure.axes else ([], [])
    figure.legend(
        handles, names, loc="upper left", bbox_to_anchor=(0.012, 1 - 0.42 / height), ncols=5, fontsize=8,
        frameon=False,
    )  # fmt: skip
    figure.text(0.02, 0.1 / height, f"across: frames a second; {beside_says}", fontsize=8, color="0.25")
    figure.subplots_adjust(
        left=0.06, right=0.985, top=1 - 1.05 / height, bottom=0.55 / height, hspace=0.55, wspace=0.3
    )
    save_figure(figure, path)


def _draw(axes, panel: Steps, noises: Sequence[float]) -> None:
    rates = sorted({rate for rate, _, _ in panel.rows})
    for i, noise in enumerate(noises):
        colour, marker, style = _LOOKS[i % len(_LOOKS)]
        line = sorted((rate, error) for rate, own, error in panel.rows if own == noise)
        if line:
            across, up = zip(*line, strict=True)
            axes.plot(
                across,
                up,
                color=colour,
                marker=marker,
                ls=style,
                lw=1.5,
                ms=4,
                label=f"{noise:g} px of noise",
            )
    if panel.beside:
        axes.plot(*zip(*panel.beside, strict=True), color="0.6", lw=1, zorder=0)
    axes.set_xscale("log")
    axes.set_xticks(rates, [f"{rate:g}" for rate in rates])
    axes.minorticks_off()
    axes.set_ylim(bottom=0)
    axes.tick_params(labelsize=7)
    axes.grid(axis="y", color="0.92")
    axes.set_title(f"{panel.title} [{panel.unit}]", fontsize=8.5, loc="left", weight="bold")
