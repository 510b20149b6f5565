"""Plots of a scorecard as PNG: detection curves, ROC, who is taken for whom, errors of measures."""

from __future__ import annotations

import math
import os
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.files import whole_file
from .colours import THEMES

DPI = 110
COLUMNS = 4
LEAST_WIDE_IN = 7.0  # of a confusion plot, so that its title and words fit
_FOUND, _CLEAN = (
    tuple(c / 255 for c in colour) for colour in (THEMES["light"].fault, THEMES["light"].correct)
)


@dataclass(frozen=True)
class Panel:
    """One small plot of found against severity, or of a ROC: a title, points, and what is said below the title."""

    title: str
    points: Sequence[Sequence[float]]
    note: str = ""
    mark: float | None = None


def draw_detection(panels: Sequence[Panel], path: str | os.PathLike, *, title: str) -> None:
    """Each clip as a dot, found (top) or not (bottom) against its effective severity; a line at half of them."""

    def dots(axes, panel: Panel) -> None:
        if panel.points:
            severity, found = np.array(panel.points, float).T
            spread = 0.09 * np.sin(7.0 * np.arange(len(found)))  # so that dots of like severity stand apart
            colours = [_FOUND if hit else _CLEAN for hit in found > 0.5]
            axes.scatter(severity, found + spread, s=13, c=colours, alpha=0.65, linewidths=0)
        if panel.mark is not None and math.isfinite(panel.mark):
            axes.axvline(panel.mark, color="0.25", lw=1.4, ls="--")
        axes.set(xlim=(-0.05, 1.25), ylim=(-0.25, 1.25), yticks=[0, 1], xticks=[0, 0.5, 1])
        axes.set_yticklabels(["no", "yes"], fontsize=7)

    _grid(
        panels,
        dots,
        path,
        title=title,
        below="found, yes or no, against effective severity: 0 as usual at that pace, 1 gross",
    )


def draw_roc(panels: Sequence[Panel], path: str | os.PathLike, *, title: str) -> None:
    """True against false alarms for every threshold of the score."""

    def line(axes, panel: Panel) -> None:
        axes.plot([0, 1], [0, 1], color="0.75", lw=1)
        if panel.points:
            false, true = np.array(panel.points, float).T
            axes.plot(false, true, color=_FOUND, lw=1.8)
        axes.set(xlim=(-0.03, 1.03), ylim=(-0.03, 1.03), xticks=[0, 0.5, 1], yticks=[0, 0.5, 1])

    _grid(
        panels,
        line,
        path,
        title=title,
        below="share of clean clips that score as high; upwards, of faulty clips",
    )


def _grid(panels: Sequence[Panel], draw, path: str | os.PathLike, *, title: str, below: str) -> None:
    rows = -(-max(len(panels), 1) // COLUMNS)
    figure = new_figure(10.0, 1.72 * rows + 1.0)
    figure.suptitle(title, fontsize=13, fontweight="bold", x=0.02, ha="left")
    for i, panel in enumerate(panels):
        axes = figure.add_subplot(rows, COLUMNS, i + 1, facecolor="white")
        draw(axes, panel)
        axes.tick_params(labelsize=7)
        axes.set_title(panel.title, fontsize=9, loc="left", fontweight="bold", pad=14)
        axes.text(0, 1.03, panel.note, transform=axes.transAxes, fontsize=7, color="0.25")
    figure.text(0.02, 0.012, below, fontsize=8, color="0.25")
    figure.subplots_adjust(
        left=0.07, right=0.985, top=1 - 0.85 / figure.get_figheight(), bottom=0.62 / figure.get_figheight(),
        hspace=0.8, wspace=0.22,
    )  # fmt: skip
    save_figure(figure, path)


def draw_confusion(
    shares: Mapping[str, Mapping[str, float | None]],
    path: str | os.PathLike,
    *,
    title: str,
    words: Sequence[str],
) -> None:
    """Rows: what was swum; columns: which detectors spoke, in percent of the clips. `words` name rows and columns."""
    names, columns = list(shares), list(next(iter(shares.values())))
    values = np.array([[_number(shares[r].get(c)) for c in columns] for r in names])
    grid_in, high_in = (0.44 * len(columns), 0.31 * len(names)), 2.3 + 0.31 * len(names)
    wide_in = max(
        LEAST_WIDE_IN, 1.7 + grid_in[0] + 1.0
    )  # names at the left, the last slanting name at the right
    figure = new_figure(wide_in, high_in)
    box = (1.7 / wide_in, 0.15 / high_in, grid_in[0] / wide_in, grid_in[1] / high_in)
    axes = figure.add_axes(box, facecolor="0.93")
    axes.imshow(np.ma.masked_invalid(values), cmap="Blues", vmin=0, vmax=1, aspect="auto")
    for (i, j), value in np.ndenumerate(values):
        if np.isfinite(value) and value > 0:
            axes.text(
                j,
                i,
                f"{100 * value:.0f}",
                ha="center",
                va="center",
                fontsize=7,
                color="white" if value > 0.5 else "0.1",
            )
    axes.set_xticks(
        range(len(columns)), [c.replace("_", " ") for c in columns], rotation=60, ha="left", fontsize=8
    )
    axes.xaxis.tick_top()
    axes.set_yticks(range(len(names)), [n.replace("_", " ") for n in names], fontsize=8)
    axes.tick_params(length=0)
    figure.text(0.1 / wide_in, 1 - 0.12 / high_in, title, fontsize=12, weight="bold", va="top")
    says = "\n".join(line for each in words for line in textwrap.wrap(each, int(15 * wide_in)))
    figure.text(0.1 / wide_in, 1 - 0.4 / high_in, says, fontsize=8, color="0.25", va="top")
    save_figure(figure, path)


def draw_errors(rows: Sequence[tuple], path: str | os.PathLike, *, title: str) -> None:
    """Limits of agreement of measures, as bars about the bias; rows of (name, unit, bias, low, high), by unit."""
    units = list(dict.fromkeys(row[1] for row in rows))
    heights = [1.2 + 0.22 * sum(row[1] == unit for row in rows) for unit in units]
    figure = new_figure(9.0, sum(heights) + 0.7)
    figure.suptitle(title, fontsize=12, fontweight="bold", x=0.02, ha="left")
    for i, axes in enumerate(figure.subplots(len(units), 1, height_ratios=heights, squeeze=False)[:, 0]):
        own = [row for row in rows if row[1] == units[i]]
        for y, (_, _, bias, low, high) in enumerate(own):
            axes.plot([low, high], [y, y], color=_CLEAN, lw=4, solid_capstyle="butt", alpha=0.75)
            axes.plot(bias, y, "o", color="0.1", ms=4)
        axes.axvline(0, color="0.4", lw=1)
        axes.set_yticks(range(len(own)), [row[0].replace("_", " ") for row in own], fontsize=8)
        axes.set_ylim(len(own) - 0.4, -0.6)
        axes.set_xlabel(f"read minus true [{units[i]}]: bias and 95 % limits of agreement", fontsize=8)
        axes.tick_params(axis="x", labelsize=8)
        axes.grid(axis="x", color="0.9")
    figure.tight_layout(rect=(0, 0, 1, 0.985))
    save_figure(figure, path)


def _number(value: float | None) -> float:
    return math.nan if value is None else float(value)


def new_figure(wide_in: float, high_in: float):
    """An empty figure that no window shows."""
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib.figure import Figure

    return Figure(figsize=(wide_in, high_in), dpi=DPI, facecolor="white")


def save_figure(figure, path: str | os.PathLike) -> None:
    """Write a figure whole or not at all."""
    with whole_file(path) as part:
        figure.savefig(part, dpi=DPI, metadata={"Software": None})


def draw_plan(rows: Sequence[Mapping], path: str | os.PathLike, *, title: str, words: Sequence[str]) -> None:
    """Faults against set-ups of a camera: from which severity each is seen (filled), or that it is not (empty).

    Parameters
    ----------
    rows : sequence of mapping
        `change`, `seen` and `faults`: for each fault `seen`, `from` and `why`.
    """
    faults, fine = list(rows[0]["faults"]), "\n".join(line for w in words for line in textwrap.wrap(w, 150))
    height = 3.4 + 0.3 * len(faults) + 0.155 * (fine.count("\n") + 1)
    figure = new_figure(max(9.0, 3.0 + 0.78 * len(rows)), height)
    below = (0.45 + 0.155 * (fine.count("\n") + 1)) / height
    axes = figure.add_axes((0.2, below, 0.71, 1 - below - 2.35 / height), facecolor="white")
    for x, row in enumerate(rows):
        for y, fault in enumerate(faults):
            _plan_cell(axes, x, y, row["faults"][fault])
    axes.set(xlim=(-0.5, len(rows) - 0.5), ylim=(len(faults) - 0.5, -0.5))
    names = [f"{row['change']} ({row['seen']})" for row in rows]
    axes.set_xticks(range(len(rows)), names, rotation=50, ha="left", fontsize=8.5)
    axes.xaxis.tick_top()
    axes.set_yticks(range(len(faults)), [fault.replace("_", " ") for fault in faults], fontsize=8.5)
    axes.tick_params(length=0)
    for side in axes.spines.values():
        side.set_visible(False)
    figure.text(0.02, 1 - 0.22 / height, title, fontsize=13, weight="bold", va="top")
    says = (
        "in brackets: how many are seen; filled: seen, with the effective severity from which\n"
        "half are found; empty: not seen; cross: not readable"
    )
    figure.text(0.02, 1 - 0.52 / height, says, fontsize=7.5, color="0.25", va="top")
    figure.text(0.02, 0.16 / height, fine, fontsize=7.5, color="0.2", va="bottom", linespacing=1.35)
    save_figure(figure, path)


def _plan_cell(axes, x: int, y: int, fault: Mapping) -> None:
    """One dot: seen from a severity, not told apart, or not readable."""
    if fault["seen"]:
        axes.plot(x, y, "s", ms=17, color=_CLEAN)
        axes.text(x, y, f"{fault['from']:.2f}", ha="center", va="center", fontsize=7, color="white")
    elif fault["why"] == "not readable":
        axes.plot(x, y, "x", ms=6, color="0.6")
    else:
        axes.plot(x, y, "s", ms=16, mfc="none", mec="0.65")
