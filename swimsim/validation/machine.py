"""Is this machine able: versions, a video writer that writes, fonts that draw, one stroke timed."""

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

LEAST_PYTHON = (3, 11)
PACKAGES = (
    "numpy", "scipy", "matplotlib", "imageio-ffmpeg", "opencv-python-headless", "pydantic", "typer", "rich",
)  # fmt: skip
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
    return [_python(), *map(_package, PACKAGES), _safely("font", _font), _safely("video writer", _video),
            _safely("place to write", _place), _safely("one stroke", _stroke)]  # fmt: skip


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


def _safely(name: str, look: Callable[[], tuple[str, str]]) -> Check:
    try:
        found, remedy = look()
    except Exception as error:  # whatever fails here is the answer, not a crash
        return Check(name, False, " ".join(str(error).split()) or type(error).__name__, _REMEDIES[name])
    return Check(name, not remedy, found, remedy)


_REMEDIES = {
    "font": "pip install matplotlib",
    "video writer": "pip install imageio-ffmpeg opencv-python-headless",
    "place to write": "free some space, or set TMPDIR to a folder that can be written",
    "one stroke": "install the project again: python -m pip install . (in its folder)",
}


def _font() -> tuple[str, str]:
    from ..view.lettering import font_folder, text_width

    text_width("FAULT", 20)
    return f"DejaVu Sans in {font_folder()}", ""


def _video() -> tuple[str, str]:
    import numpy as np

    from ..view.writer import ffmpeg_path, write_mp4

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "check.mp4"
        write_mp4(path, iter([np.zeros((64, 64, 3), np.uint8)] * 3), size=(64, 64), fps=30.0)
        return f"H.264 by {Path(ffmpeg_path()).name}, {path.stat().st_size} bytes written", ""


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
