"""Speed of clips, as ratios within one run: `python tests/benchmark_clip.py [runs]`.

The scene is fixed: the hand-made pair of `drawn_swimmer.py` as solid bodies in their pool, 1280 x 720, two
panels of one large view. Prints the median of interleaved runs with their spread, for the base install and, if
it is installed, for the extra `fast`. Nothing here passes or fails by time; both must draw the same pictures.

* equal: mean absolute difference between the planes of both [levels]; above 1 nothing is measured;
* clip: our clip against `FuncAnimation.save` of the same scene, cleared and plotted anew (24 frames, scaled);
* encoding: the same frames, drawn beforehand, sent to the same encoder with the same settings;
* encoding, CPU: the same by processor time of both processes, which other work on the machine disturbs less;
* six views: encoding with three views in each panel;
* teaching clip: the standard sequence of 20 s (title, four speeds, correct alone, caution), 30 frames/s [s];
* webm: time of the same pictures as WebM against MP4;
* GIF: our writer against Pillow's default for the same RGB frames at 640 x 360;
* growth: memory of the process after 10 minutes of clip less that after 1 minute, 320 x 180, 10 frames/s [MB];
* edges: mean absolute difference of a frame from its own 8 times larger version, averaged down [grey levels].
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from drawn_swimmer import pair
from naive_clip import naive_clip

from swimsim.view import pipe, quick_scene, writer
from swimsim.view.clip import ClipOptions, write_clip
from swimsim.view.colours import THEMES
from swimsim.view.look import Look
from swimsim.view.palette import Palette
from swimsim.view.parts import Part, teaching_parts
from swimsim.view.reel import write_reel
from swimsim.view.sampling import clip_times
from swimsim.view.scene import Scene

SECONDS, FPS, GIF_FRAMES = 8.0, 30, 100
LOOK = Look(views=("side_left",), style="solid")
SIX = replace(LOOK, views=("side_left", "front", "below"))
GOALS = {
    "equal": "<= 1", "clip": ">= 10", "encoding": ">= 0.80", "encoding, CPU": ">= 0.80", "six views": "-",
    "teaching clip": "<= 4", "clip, fast": ">= 14", "encoding, fast": ">= 0.90",
    "encoding, CPU, fast": ">= 0.90", "six views, fast": "-", "teaching clip, fast": "<= 4", "webm": "-",
    "gif speed": ">= 6", "gif bytes": "<= 0.75", "growth": "about 0", "edges": "<= 1",
}  # fmt: skip


def drawn_frames(look: Look, *, step: int = 1, count: int | None = None) -> list[np.ndarray]:
    """Frames of the fixed scene, kept in memory."""
    panels = pair(SECONDS)
    times = clip_times(panels[0][0], fps=FPS)[::step][:count]
    return [frame.copy() for frame in Scene(panels, [times, times], look=look).frames()]


@contextmanager
def install(fast: bool) -> Iterator[None]:
    """The base install, or the one with the extra `fast`."""
    usual = quick_scene.installed
    quick_scene.installed = lambda: fast
    try:
        yield
    finally:
        quick_scene.installed = usual


def difference(look: Look) -> float:
    """Mean absolute difference between the planes that base and fast draw. [levels]"""
    panels, look = pair(SECONDS), replace(look, theme=THEMES["light"].in_video())
    times = clip_times(panels[0][0], fps=FPS)[::12]
    lay, usual, quick = writer.planes_of((1280, 720)), *np.empty((2, 1080, 1280), np.uint8)
    scene, found = Scene(panels, [times, times], look=look), []
    for frame, strip in zip(scene.frames(), quick_scene.Planes(scene).frames(), strict=True):
        lay(frame, usual)
        strip.lay(quick, fresh=True)
        found.append(np.abs(usual.astype(int) - quick).mean())
    return float(np.mean(found))


def processor_time(work: Callable, *args) -> tuple[float, float]:
    """What `work` returns, and the processor time of this process and its encoder. [s]"""
    who = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    before = [resource.getrusage(w) for w in who]
    value = work(*args)
    after = [resource.getrusage(w) for w in who]
    spent = (b.ru_utime + b.ru_stime - a.ru_utime - a.ru_stime for a, b in zip(before, after, strict=True))
    return value, sum(spent)


def ready_planes(look: Look) -> list[np.ndarray]:
    """The frames of our clip as the encoder takes them."""
    planes, lay = [], writer.planes_of((1280, 720))
    for frame in drawn_frames(replace(look, theme=THEMES["light"].in_video())):
        planes.append(np.empty((1080, 1280), np.uint8))
        lay(frame, planes[-1])
    return planes


def our_clip(folder: Path, look: Look = LOOK, name: str = "ours.mp4") -> float:
    """Frames per second of the whole path: interpolate, project, draw, convert, encode, move into place."""
    start = time.perf_counter()
    options = ClipOptions(look=look, fps=FPS, end_card=False)
    count = write_clip(folder / name, pair(SECONDS), options=options)
    return count / (time.perf_counter() - start)


def teaching_clip(folder: Path) -> float:
    """Seconds of work for the standard sequence of some 20 s, stops at the key instant included."""
    panels = [(trace, replace(marks, key_share=0.45)) for trace, marks in pair(9.8)]
    start = time.perf_counter()
    made = write_reel(folder / "teaching.mp4", teaching_parts(panels), look=LOOK, fps=FPS)
    return 20.0 / made.seconds * (time.perf_counter() - start)


def memory_growth(folder: Path) -> float:
    """Memory of this process after 10 minutes of clip less that after 1 minute. [MB]"""
    held = {}

    def note(done: int, total: int) -> None:
        if done in (600, total):
            pages = Path("/proc/self/statm").read_text(encoding="ascii").split()[1]
            held[done] = int(pages) * 4096 / 1e6

    parts = [Part(tuple(pair(9.8)), length=6.0)] * 72  # 72 times 8.4 s are 10 minutes
    made = write_reel(folder / "long.mp4", parts, look=replace(LOOK, size=(320, 180)), fps=10, progress=note)
    return held[made.frames] - held[600]


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
            next(Scene(pair(SECONDS), [np.array([at])] * 2, look=replace(LOOK, zoom=z)).frames())
            for z in (1, 8)
        )
        means = large.reshape(720, 8, 1280, 8, 3).mean(axis=(1, 3), dtype=np.float32)
        values.append(np.abs(means - once).mean())
    return float(np.mean(values))


def of_install(folder: Path, naive: float, ready: tuple[list, list]) -> dict[str, float]:
    """The ratios of one run of the install at hand."""
    planes, six = ready
    (ours, cpu), (alone, cpu_alone) = (
        processor_time(our_clip, folder), processor_time(encoding_alone, folder, planes),
    )  # fmt: skip
    return {
        "clip": ours / naive,
        "encoding": ours / alone,
        "encoding, CPU": cpu_alone / cpu,
        "six views": our_clip(folder, SIX) / encoding_alone(folder, six),
        "teaching clip": teaching_clip(folder),
    }


def of_writers(folder: Path, small: list[np.ndarray]) -> dict[str, float]:
    """WebM against MP4, and our GIF against Pillow's."""
    times = {"pillow": gif_pillow(folder, small), "ours": gif_ours(folder, small)}
    sizes = [(folder / f"{w}.gif").stat().st_size for w in ("ours", "pillow")]
    return {
        "webm": our_clip(folder) / our_clip(folder, name="ours.webm"),
        "gif speed": times["pillow"] / times["ours"],
        "gif bytes": sizes[0] / sizes[1],
    }


def measure(runs: int = 5) -> dict[str, list[float]]:
    """All ratios, one entry per run."""
    ready = ready_planes(LOOK), ready_planes(SIX)
    small = drawn_frames(replace(LOOK, size=(640, 360)), count=GIF_FRAMES)
    found: dict[str, list[float]] = {name: [] for name in GOALS}
    installs = {"": False} | ({", fast": True} if quick_scene.installed() else {})
    if len(installs) > 1:
        found["equal"].append(difference(LOOK))
        if found["equal"][0] > 1:
            return {"equal": found["equal"]}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        our_clip(folder)
        for _ in range(runs):
            naive = naive_clip(folder, pair(SECONDS), fps=FPS)
            for suffix, fast in installs.items():
                with install(fast):
                    for key, value in of_install(folder, naive, ready).items():
                        found[key + suffix].append(value)
            for key, value in of_writers(folder, small).items():
                found[key].append(value)
        if Path("/proc/self/statm").exists():
            found["growth"].append(memory_growth(folder))
    found["edges"].append(edge_difference())
    return {name: values for name, values in found.items() if values}


def report(found: dict[str, list[float]]) -> None:
    """Median, spread and goal of each ratio."""
    for name, values in found.items():
        spread = f"{min(values):.2f} to {max(values):.2f}, {len(values)} runs"
        print(f"{name:20s} median {np.median(values):8.2f}   ({spread})   goal {GOALS.get(name, '-')}")


@pytest.mark.benchmark
def test_clip_ratios():
    """Print the ratios; they are never pass or fail by time."""
    report(measure(1))


if __name__ == "__main__":
    report(measure(int(sys.argv[1]) if len(sys.argv) > 1 else 5))
