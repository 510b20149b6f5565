"""Is this machine able: versions, fonts and shapes that draw, every kind of clip written, one stroke timed."""

from __future__ import annotations

import platform
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from ..ground.records import Marks
from .detection import INSTALL_EXTRA

LEAST_PYTHON = (3, 11)
PACKAGES = (
    "numpy", "scipy", "matplotlib", "pillow", "imageio-ffmpeg", "opencv-python-headless", "pydantic", "typer",
    "rich",
)  # fmt: skip
VALIDATE = ("scikit-learn", "statsmodels", "pycocotools")  # the extra of that name
SLOWEST_S = 30.0  # a stroke that takes longer to make means that something is wrong (practice)


@dataclass(frozen=True)
class Check:
    """One question, the answer, and what to do if it is no."""

    name: str
    able: bool
    found: str
    remedy: str


def check_machine() -> list[Check]:
    """Every check in order; none raises."""
    looks = {
        "fonts": _fonts, "drawing": _drawing, "MP4 clips": _mp4, "WebM clips": _webm, "GIF clips": _gif,
        "place to write": _place, "one stroke": _stroke, "extra fast": _fast, "extra validate": _validate,
    }  # fmt: skip
    return [_python(), *map(_package, PACKAGES), *(_safely(name, look) for name, look in looks.items())]


def _python() -> Check:
    able = sys.version_info[:2] >= LEAST_PYTHON
    wanted = ".".join(map(str, LEAST_PYTHON))
    return Check(
        "python",
        able,
        f"{platform.python_version()} on {platform.system()}",
        f"install Python {wanted} or newer",
    )


def _package(name: str) -> Check:
    try:
        return Check(name, True, metadata.version(name), "")
    except metadata.PackageNotFoundError:
        return Check(name, False, "missing", f"pip install {name}")


def _fast() -> tuple[str, str]:
    """Whether clips are drawn by compiled code; they look the same without."""
    try:
        return f"numba {metadata.version('numba')}: clips are drawn by compiled code", ""
    except metadata.PackageNotFoundError:
        return f"not installed, not needed; clips take less time with: {_REMEDIES['extra fast']}", ""


def _validate() -> tuple[str, str]:
    """Whether detectors can be scored; nothing else needs these."""
    found, missing = [], []
    for name in VALIDATE:
        try:
            found.append(f"{name} {metadata.version(name)}")
        except metadata.PackageNotFoundError:
            missing.append(name)
    if not missing:
        return f"{', '.join(found)}: `swimsim validate` scores detectors", ""
    return f"{', '.join(missing)} not installed, needed by `swimsim validate` alone: {INSTALL_EXTRA}", ""


def _safely(name: str, look: Callable[[], tuple[str, str]]) -> Check:
    try:
        found, remedy = look()
    except Exception as error:  # whatever fails here is the answer, not a crash
        return Check(name, False, " ".join(str(error).split()) or type(error).__name__, _REMEDIES[name])
    return Check(name, not remedy, found, remedy)


_REMEDIES = {
    "fonts": "pip install matplotlib pillow",
    "drawing": "pip install opencv-python-headless",
    "MP4 clips": "pip install imageio-ffmpeg (its own ffmpeg has libx264)",
    "WebM clips": "pip install imageio-ffmpeg (its own ffmpeg has libvpx); .mp4 and .gif need no libvpx",
    "GIF clips": "pip install imageio-ffmpeg",
    "place to write": "free some space, or set TMPDIR to a folder that can be written",
    "extra fast": "python -m pip install '.[fast]' (in the project's folder)",
    "extra validate": INSTALL_EXTRA,
    "one stroke": "install the project again: python -m pip install . (in its folder)",
}


def _fonts() -> tuple[str, str]:
    from ..view.lettering import alpha, font_folder

    shown = all(alpha("FAULT", 20, bold).max() > 0.5 for bold in (False, True))
    return f"DejaVu Sans in {font_folder()}", "" if shown else _REMEDIES["fonts"]


def _drawing() -> tuple[str, str]:
    """A filled square with soft edges, as the swimmer is drawn."""
    import numpy as np

    from ..view.strokes import Shapes

    canvas = np.zeros((16, 16, 3), np.uint8)
    square = np.array([[[[4.0, 4.0], [12.0, 4.0], [12.0, 12.0], [4.0, 12.0]]]])
    Shapes(square, (255, 255, 255)).draw(canvas, 0)
    able = canvas[8, 8].min() == 255 and canvas[1, 1].max() == 0
    return "a filled shape by OpenCV", "" if able else _REMEDIES["drawing"]


def _mp4() -> tuple[str, str]:
    from ..view.writer import write_mp4

    return _written("check.mp4", write_mp4, "H.264 (libx264)")


def _webm() -> tuple[str, str]:
    from ..view.writer import write_webm

    return _written("check.webm", write_webm, "VP9 (libvpx)")


def _gif() -> tuple[str, str]:
    import numpy as np

    from ..view.palette import Palette
    from ..view.writer import write_gif

    palette = Palette.of([np.zeros((64, 64, 3), np.uint8)])
    return _written("check.gif", write_gif, "GIF", palette=palette)


def _written(name: str, write: Callable[..., int], what: str, **more) -> tuple[str, str]:
    """A clip of three black pictures, really written."""
    import numpy as np

    from ..view.writer import ffmpeg_path

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        write(path, iter([np.zeros((64, 64, 3), np.uint8)] * 3), size=(64, 64), fps=30.0, **more)
        return f"{what} by {Path(ffmpeg_path()).name}, {path.stat().st_size} bytes written", ""


def _place() -> tuple[str, str]:
    with tempfile.TemporaryFile() as file:
        file.write(b"swimsim")
    return tempfile.gettempdir(), ""


def _stroke() -> tuple[str, str]:
    """One stroke from the scenario to numbers read blind, and one picture of it."""
    from ..metrics import measure_trace
    from ..scenario.play import play
    from ..scenario.read import read_scenario
    from ..view.clip import picture

    start = time.perf_counter()
    played = play(read_scenario())
    made = time.perf_counter() - start
    measure_trace(played.fault.trace)
    read = time.perf_counter() - start - made
    picture([(played.fault.trace, Marks())], at_s=0.0)
    drawn = time.perf_counter() - start - made - read
    slow = "this is very slow; close other programs" if made > SLOWEST_S else ""
    return f"made in {made:.2f} s, read in {read:.2f} s, one picture in {drawn:.2f} s", slow
