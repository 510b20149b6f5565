"""The fixed scene of `benchmark_clip.py` drawn in the way that comes to mind first, for comparison.

Cleared and plotted anew for every picture by matplotlib, encoded by its own writer. It shows what our scene
shows: two panels with one large view each, shaded limbs with outlines, head, suit, pool, trail, words, bar.
"""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np

from swimsim.view import writer
from swimsim.view.cameras import mean_speed, named_camera
from swimsim.view.figure import Shot
from swimsim.view.sampling import clip_times, phase_at, positions_at

NAIVE_FRAMES = 24
SIZE = (620, 541)  # of a large view [px]
SKIN, SHADE, SUIT, EDGE, LINES = "#DDA982", "#AF8568", "#2A3F66", "#22323D", "#8FA9B8"
LIMBS = (("shoulder", "elbow", 17), ("elbow", "wrist", 13), ("wrist", "fingertip", 9), ("hip", "knee", 26),
         ("knee", "ankle", 18), ("ankle", "toe", 9))  # fmt: skip
LAYERS = ((4, EDGE), (0, SHADE), (-4, SKIN))  # how much wider, and the colour


def naive_clip(folder: Path, panels: list, *, fps: float) -> float:
    """Pictures per second."""
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt
    from matplotlib.animation import FFMpegWriter, FuncAnimation

    matplotlib.rcParams["animation.ffmpeg_path"] = writer.ffmpeg_path()
    figure = plt.figure(figsize=(12.8, 7.2), dpi=100)
    places = [
        (*panel, figure.add_axes([x, 0.14, 0.484, 0.75]), figure.add_axes([x, 0.07, 0.42, 0.03]))
        for panel, x in zip(panels, (0.008, 0.508), strict=True)
    ]
    times = clip_times(panels[0][0], fps=fps)

    def update(frame: int):
        for trace, marks, view, bar in places:
            plot_view(trace, marks, view, at=times[max(frame - 16, 0) : frame + 1])
            plot_bar(trace, marks, (view, bar), at=times[frame])
        return []

    start = time.perf_counter()
    FuncAnimation(figure, update, frames=NAIVE_FRAMES, blit=False).save(
        folder / "naive.mp4", writer=FFMpegWriter(fps=fps, codec="libx264"), dpi=100
    )
    plt.close(figure)
    return NAIVE_FRAMES / (time.perf_counter() - start)


def plot_view(trace, marks, axes, *, at: np.ndarray) -> None:
    """Pool, body and trail at the last of the times."""
    axes.clear()
    axes.set_facecolor("#E3F1F8")
    camera = named_camera("side_left", 1.8, size_px=SIZE)
    shift = mean_speed(trace) * at
    shot = Shot(camera, positions_at(trace, at), trace.joint_names, shift)
    where = {n: shot.see(shot.point(n)) for n in trace.joint_names}
    last = Shot(camera, shot.points_m[-1:], trace.joint_names, shift[-1:])
    plot_pool(axes, last, shift[-1])
    colour = "#D55E00" if marks.word == "FAULT" else "#0072B2"
    axes.plot(*where["left_knuckles"].T, color=colour, alpha=0.4)
    for side in ("right", "left"):
        plot_side(axes, {n: w[-1] for n, w in where.items()}, side, colour=colour, marks=marks)
    axes.set(xlim=(0, SIZE[0]), ylim=(SIZE[1], 0), xticks=[], yticks=[])
    axes.text(8, 20, "side, left")


def plot_pool(axes, shot: Shot, travel: float) -> None:
    """Water line, floats of the far rope, joints of the floor tiles."""
    axes.axhspan(0, SIZE[1] * 0.36, color="#F7FAFC")
    axes.axhline(SIZE[1] * 0.36, color="#3F7F9F", lw=3)
    first = np.floor(travel / 0.25) * 0.25
    x = first + 0.25 * np.arange(-14, 16)
    floats = shot.see(np.stack([x, 0 * x - 1.25, 0 * x], -1)[None])[0]
    axes.plot(*floats.T, color=LINES, lw=1)
    axes.plot(*floats.T, ls="", marker="s", ms=11, color="#F4F6F8", mec=LINES)
    for place in x:
        axes.plot(*shot.see(np.array([[[place, -1.2, -2], [place, 1.2, -2]]]))[0].T, color=LINES, lw=0.7)
    for y in np.arange(-1.25, 1.3, 0.25):
        axes.plot(*shot.see(np.array([[[x[0], y, -2], [x[-1], y, -2]]]))[0].T, color=LINES, lw=0.7)


def plot_side(axes, where: dict, side: str, *, colour: str, marks) -> None:
    """Limbs of one side in three layers, and for the far side the trunk and the head after them."""
    for start, end, wide in LIMBS:
        line = np.array([where[f"{side}_{start}"], where[f"{side}_{end}"]])
        lit = {f"{side}_{start}", f"{side}_{end}"} <= set(marks.limb)
        for more, tone in LAYERS:
            tone = colour if lit and more <= 0 else tone
            axes.plot(*line.T, color=tone, lw=wide + more, solid_capstyle="round", alpha=1 if lit else 0.8)
        if lit:
            dash = (0, (2, 1)) if marks.style == "dashed" else "-"
            axes.plot(*line.T, color="white", lw=4, ls=dash, marker="s" if marks.style == "dashed" else "o")
    if side == "right":
        box = ("left_shoulder", "right_shoulder", "right_hip", "left_hip")
        axes.fill(*np.array([where[n] for n in box]).T, fc=SKIN, ec=EDGE, lw=3)
        hips = np.array([where["left_hip"], where["right_hip"]])
        axes.plot(*hips.T, color=SUIT, lw=34, solid_capstyle="round")
        turn = np.linspace(0, 2 * np.pi, 28)
        head = (where["head_top"] + where["chin"]) / 2
        for tone, radius in ((EDGE, 27), (SKIN, 25), ("#F4F6F8", 19)):
            axes.fill(head[0] + radius * np.cos(turn), head[1] + radius * np.sin(turn), fc=tone)
        axes.plot(*np.array([where["chin"], where["nose"]]).T, color=EDGE, lw=2)


def plot_bar(trace, marks, places: tuple, *, at: float) -> None:
    """Phase bar and words of one panel."""
    view, bar = places
    colour = "#D55E00" if marks.word == "FAULT" else "#0072B2"
    bar.clear()
    phase = phase_at(marks, trace, np.array([at]))[0]
    bar.axhspan(-0.3, 0.3, color="#cccccc")
    bar.plot([0, phase], [0, 0], color=colour, lw=5)
    bar.plot([phase], [0], color=colour, marker="o", ms=10)
    bar.set(xlim=(0, 1), ylim=(-1, 1), yticks=[], xticks=[s for _, s in marks.ticks])
    bar.set_xticklabels([n for n, _ in marks.ticks])
    view.set_title(f"{marks.word} {marks.title}   {marks.value}   {marks.band}   {phase:.0%}")
