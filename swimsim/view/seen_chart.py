"""What a camera gives beside what was there: points over the exact figure, and one point over time."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..ground.conventions import MODEL_LINE, STICKS
from ..ground.files import whole_file
from ..ground.records import Seen
from .colours import THEMES

SIZE_IN, DPI = (13.5, 5.2), 110
MARGIN_PX = 60
BEFORE_S, SHOWN_S = 1.2, 2.4  # of one joint over time, round the instant of the picture
DIM, LINE = "0.72", "0.35"


@dataclass(frozen=True)
class SeenPanel:
    """One condition.

    Parameters
    ----------
    title, says : str
    seen : Seen
        What the camera gave.
    exact : Seen
        The same instants without any loss.
    frame : int
        The one that is shown.
    """

    title: str
    says: str
    seen: Seen
    exact: Seen
    frame: int


def draw_seen(panels: Sequence[SeenPanel], path: str | os.PathLike, *, joint: str, title: str) -> None:
    """Write the chart as PNG: a column for each condition, the picture above, the height of one joint below."""
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib.figure import Figure

    figure = Figure(figsize=SIZE_IN, dpi=DPI, facecolor="white")
    axes = figure.subplots(2, len(panels), height_ratios=(1.0, 1.15), squeeze=False)
    for column, panel in enumerate(panels):
        _picture(axes[0, column], panel)
        _over_time(axes[1, column], panel, joint, first=column == 0)
    figure.suptitle(title, x=0.015, y=0.975, ha="left", fontsize=14, weight="bold")
    figure.text(0.015, 0.015, MODEL_LINE, fontsize=9, color=LINE)
    figure.subplots_adjust(left=0.05, right=0.99, top=0.85, bottom=0.15, wspace=0.1, hspace=0.12)
    with whole_file(path) as part:
        figure.savefig(part, format="png")


def _ink() -> tuple[float, ...]:
    return tuple(value / 255 for value in THEMES["light"].fault[:3])


def _picture(axes, panel: SeenPanel) -> None:
    """The exact figure in grey, the points that were given, and rings where points were lost."""
    names = panel.exact.joint_names
    exact, given = panel.exact.pixels[panel.frame], panel.seen.pixels[panel.frame]
    for one, other in STICKS:
        ends = exact[[names.index(one), names.index(other)]]
        axes.plot(ends[:, 0], ends[:, 1], color=DIM, lw=2.4, solid_capstyle="round", zorder=1)
    known = np.isfinite(given).all(axis=1)
    sure = panel.seen.confidence[panel.frame] > 0.75
    for part, marker in ((known & sure, "o"), (known & ~sure, "s")):
        axes.plot(given[part, 0], given[part, 1], marker, ms=4.2, color=_ink(), zorder=3)
        for a, b in zip(exact[part], given[part], strict=True):
            axes.plot([a[0], b[0]], [a[1], b[1]], color=_ink(), lw=0.8, zorder=2)
    axes.plot(exact[~known, 0], exact[~known, 1], "o", ms=6, mfc="white", mec=LINE, mew=1.1, zorder=3)
    low, high = np.nanmin(exact, axis=0) - MARGIN_PX, np.nanmax(exact, axis=0) + MARGIN_PX
    axes.set(xlim=(low[0], high[0]), ylim=(high[1], low[1]), aspect="equal", xticks=[], yticks=[])
    axes.set_title(panel.title, loc="left", fontsize=12, weight="bold", pad=18)
    axes.text(0, 1.03, panel.says, transform=axes.transAxes, fontsize=8.5, color=LINE, va="bottom")


def _over_time(axes, panel: SeenPanel, joint: str, *, first: bool) -> None:
    """Row of one joint in the picture over time: exact as a line, given as dots."""
    at = panel.exact.joint_names.index(joint)
    height = panel.exact.camera.size_px[1]
    axes.plot(panel.exact.time_s, panel.exact.pixels[:, at, 1], color=DIM, lw=2.4, zorder=1)
    axes.plot(panel.seen.time_s, panel.seen.pixels[:, at, 1], "o", ms=2.6, color=_ink(), zorder=2)
    start = panel.exact.time_s[panel.frame] - BEFORE_S
    axes.set(ylim=(height, 0), xlim=(start, start + SHOWN_S), xlabel="time [s]")
    axes.axvline(start + BEFORE_S, color=DIM, lw=1, ls=":")
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    if first:
        axes.set_ylabel(f"{joint.replace('_', ' ')}, row in the picture [px]")
    else:
        axes.set_yticklabels([])
