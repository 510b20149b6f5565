"""Speed of clips, as ratios within one run: `python tests/benchmark_clip.py [runs]`.

The scene is fixed: the hand-made pair of `drawn_swimmer.py`, 1280 x 720, two panels of three views.
Prints the median of interleaved runs with their spread. Nothing here passes or fails by time.

* clip: our clip against `FuncAnimation.save` of the same scene, cleared and plotted anew (24 frames, scaled);
* encoding: the same frames, drawn beforehand, sent to the same encoder with the same settings;
* GIF: our writer against Pillow's default for the same RGB frames at 640 x 360;
* edges: mean absolute difference of a frame from its own 8 times larger version, averaged down [grey levels].
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pytest
from drawn_swimmer import pair

from swimsim.view import pipe, writer
from swimsim.view.cameras import mean_speed, named_camera
from swimsim.view.clip import ClipOptions, write_clip
from swimsim.view.colours import THEMES
from swimsim.view.figure import Shot
from swimsim.view.palette import Palette
from swimsim.view.sampling import clip_times, phase_at, positions_at
from swimsim.view.scene import Look, Scene

SECONDS, FPS, NAIVE_FRAMES, GIF_FRAMES = 8.0, 30, 24, 100
GOALS = {"clip": ">= 10", "encoding": ">= 0.80", "gif speed": ">= 6", "gif bytes": "<= 0.75", "edges": "<= 1"}


def drawn_frames(look: Look, *, step: int = 1, count: int | None = None) -> list[np.ndarray]:
    """Frames of the fixed scene, kept in memory."""
    panels = pair(SECONDS)
    times = clip_times(panels[0][0], fps=FPS)[::step][:count]
    return [frame.copy() for frame in Scene(panels, [times, times], look=look).frames()]


def ready_planes() -> list[np.ndarray]:
    """The frames of our clip as the encoder takes them."""
    planes, lay = [], writer.planes_of((1280, 720))
    for frame in drawn_frames(Look(theme=THEMES["light"].in_video())):
        planes.append(np.empty((1080, 1280), np.uint8))
        lay(frame, planes[-1])
    return planes


def our_clip(folder: Path) -> float:
    """Frames per second of the whole path: interpolate, project, draw, convert, encode, move into place."""
    start = time.perf_counter()
    count = write_clip(folder / "ours.mp4", pair(SECONDS), options=ClipOptions(fps=FPS, end_card=False))
    return count / (time.perf_counter() - start)


def encoding_alone(folder: Path, planes: list[np.ndarray]) -> float:
    """Frames per second of the encoder when the frames are ready as Y, U, V planes."""
    start = time.perf_counter()
    command = writer._mp4_command(folder / "alone.mp4", (1280, 720), fps=FPS, crf=writer.CRF)
    process = subprocess.Popen(command, stdin=subprocess.PIPE, bufsize=0)
    pipe.widen(process.stdin)
    for plane in planes:
        pipe.write_all(process.stdin, plane)
    process.stdin.close()
    process.wait()
    return len(planes) / (time.perf_counter() - start)


def naive_clip(folder: Path) -> float:
    """Frames per second of the same scene written in the way that comes to mind first."""
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt
    from matplotlib.animation import FFMpegWriter, FuncAnimation

    matplotlib.rcParams["animation.ffmpeg_path"] = writer.ffmpeg_path()
    figure = plt.figure(figsize=(12.8, 7.2), dpi=100)
    panels = []
    for i, (trace, marks) in enumerate(pair(SECONDS)):
        left = 0.008 + 0.5 * i
        places = ([left, 0.41, 0.484, 0.45], [left, 0.12, 0.239, 0.28], [left + 0.245, 0.12, 0.239, 0.28])
        panels.append(
            (trace, marks, [figure.add_axes(p) for p in places], figure.add_axes([left, 0.05, 0.42, 0.03]))
        )
    times = clip_times(panels[0][0], fps=FPS)

    def update(frame: int):
        for trace, marks, views, bar in panels:
            plot_panel(trace, marks, views, bar, at=times[: frame + 1])
        return []

    start = time.perf_counter()
    FuncAnimation(figure, update, frames=NAIVE_FRAMES, blit=False).save(
        folder / "naive.mp4", writer=FFMpegWriter(fps=FPS, codec="libx264"), dpi=100
    )
    plt.close(figure)
    return NAIVE_FRAMES / (time.perf_counter() - start)


def plot_panel(trace, marks, views, bar, *, at: np.ndarray) -> None:
    """One panel of the naive scene at the last of the times."""
    recent = at[-17:]
    points, shift = positions_at(trace, recent), mean_speed(trace) * recent
    colour, dash = ("#D55E00", (0, (2, 1))) if marks.word == "FAULT" else ("#0072B2", "-")
    for name, axes in zip(("side_left", "front", "below"), views, strict=True):
        axes.clear()
        axes.set_facecolor("#E3F1F8")
        camera = named_camera(name, 1.8, size_px=(620, 330) if name == "side_left" else (306, 200))
        shot = Shot(camera, points, trace.joint_names, shift)
        where = {n: shot.see(shot.point(n)) for n in trace.joint_names}
        axes.axhline(camera.size_px[1] * 0.4, color="#3F7F9F", lw=2)
        for side in ("right", "left"):
            for chain in (("shoulder", "elbow", "wrist"), ("hip", "knee", "ankle")):
                line = np.array([where[f"{side}_{n}"][-1] for n in chain])
                axes.plot(*line.T, color=colour, lw=4, ls=dash, marker="s" if marks.word == "FAULT" else "o")
            for shape in (("wrist", "knuckles", "fingertip", "thumb_tip"), ("ankle", "toe", "heel")):
                axes.fill(*np.array([where[f"{side}_{n}"][-1] for n in shape]).T, color=colour)
        box = ("left_shoulder", "right_shoulder", "right_hip", "left_hip")
        axes.fill(*np.array([where[n][-1] for n in box]).T, fc="#cccccc", ec=colour)
        turn = np.linspace(0, 2 * np.pi, 28)
        head = (where["head_top"][-1] + where["chin"][-1]) / 2
        axes.fill(head[0] + 20 * np.cos(turn), head[1] + 20 * np.sin(turn), fc="#cccccc", ec=colour)
        axes.plot(*np.array([where["chin"][-1], where["nose"][-1]]).T, color=colour, lw=3)
        if name == "side_left":
            axes.plot(*where["left_knuckles"].T, color=colour, alpha=0.4)
        for mark in range(-6, 7):
            axes.plot(
                [camera.size_px[0] / 2 + mark * 110 - shift[-1] % 0.5 * 220] * 2, [325, 310], color="#8FA9B8"
            )
        axes.set(xlim=(0, camera.size_px[0]), ylim=(camera.size_px[1], 0), xticks=[], yticks=[])
        axes.text(8, 20, name)
    bar.clear()
    phase = phase_at(marks, trace, at[-1:])[0]
    bar.axhspan(-0.3, 0.3, color="#cccccc")
    bar.plot([0, phase], [0, 0], color=colour, lw=5)
    bar.plot([phase], [0], color=colour, marker="o", ms=10)
    bar.set(xlim=(0, 1), ylim=(-1, 1), yticks=[], xticks=[s for _, s in marks.ticks])
    bar.set_xticklabels([n for n, _ in marks.ticks])
    views[0].set_title(f"{marks.word} {marks.title}   {marks.value}   {marks.band}   {phase:.0%}")


def gif_ours(folder: Path, frames: list[np.ndarray]) -> float:
    """Seconds of our GIF, the palette included."""
    start = time.perf_counter()
    palette = Palette.of(frames[:: len(frames) // 6])
    writer.write_gif(folder / "ours.gif", frames, size=(640, 360), fps=25, palette=palette)
    return time.perf_counter() - start


def gif_pillow(folder: Path, frames: list[np.ndarray]) -> float:
    """Seconds of Pillow's GIF with its own choices."""
    from PIL import Image

    start = time.perf_counter()
    first, *rest = (Image.fromarray(frame) for frame in frames)
    first.save(folder / "pillow.gif", save_all=True, append_images=rest, duration=40, loop=0)
    return time.perf_counter() - start


def edge_difference() -> float:
    """Mean absolute difference from the 8 times larger drawing. [grey levels]"""
    times = clip_times(pair(SECONDS)[0][0], fps=FPS)[10::47]
    values = []
    for at in times:
        once, large = (
            next(Scene(pair(SECONDS), [np.array([at])] * 2, look=Look(zoom=z)).frames()) for z in (1, 8)
        )
        means = large.reshape(720, 8, 1280, 8, 3).mean(axis=(1, 3), dtype=np.float32)
        values.append(np.abs(means - once).mean())
    return float(np.mean(values))


def measure(runs: int = 5) -> dict[str, list[float]]:
    """All ratios, one entry per run."""
    planes = ready_planes()
    small = drawn_frames(Look(size=(640, 360)), count=GIF_FRAMES)
    found: dict[str, list[float]] = {name: [] for name in ("fps", *GOALS)}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        our_clip(folder)
        for _ in range(runs):
            ours, alone, naive = our_clip(folder), encoding_alone(folder, planes), naive_clip(folder)
            found["fps"].append(ours)
            found["clip"].append(ours / naive)
            found["encoding"].append(ours / alone)
            found["gif speed"].append(gif_pillow(folder, small) / gif_ours(folder, small))
            sizes = [(folder / f"{w}.gif").stat().st_size for w in ("ours", "pillow")]
            found["gif bytes"].append(sizes[0] / sizes[1])
    found["edges"].append(edge_difference())
    return found


def report(found: dict[str, list[float]]) -> None:
    """Median, spread and goal of each ratio."""
    for name, values in found.items():
        spread = f"{min(values):.2f} to {max(values):.2f}, {len(values)} runs"
        print(f"{name:10s} median {np.median(values):8.2f}   ({spread})   goal {GOALS.get(name, '-')}")


@pytest.mark.benchmark
def test_clip_ratios():
    """Print the ratios; they are never pass or fail by time."""
    report(measure(1))


if __name__ == "__main__":
    report(measure(int(sys.argv[1]) if len(sys.argv) > 1 else 5))
